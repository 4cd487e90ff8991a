"""Drawings of ends and hangers: line ends at arbor and batten, trim, dead-hung pipes, cable, ropes, points."""

from inspect_app.domain.part import PartKind
from inspect_app.output.part_drawing_value import Drawing, Place
from inspect_app.output.part_pen import (
    BOLD,
    FINE,
    arrow,
    bolt,
    box,
    chain,
    floor,
    girder,
    hatched,
    ibeam,
    ln,
    nut,
    ring,
    rope,
    run,
    says,
    shackle,
    shape,
    sheave,
    sheet,
    stroke,
)


def _thimble(x: float, y: float) -> str:
    """A thimble about the bottom of an eye at x, y, with the rope round it; its two legs meet 40 above."""
    eye = f"M{x - 4:g} {y - 52:g}C{x - 4:g} {y - 40:g} {x - 15:g} {y - 34:g} {x - 15:g} {y - 18:g}"
    eye += f"a15 15 0 0 0 30 0C{x + 15:g} {y - 34:g} {x + 4:g} {y - 40:g} {x + 4:g} {y - 52:g}"
    inner = f"M{x:g} {y - 42:g}C{x - 8:g} {y - 32:g} {x - 11:g} {y - 26:g} {x - 11:g} {y - 18:g}"
    inner += f"a11 11 0 0 0 22 0C{x + 11:g} {y - 26:g} {x + 8:g} {y - 32:g} {x:g} {y - 42:g}z"
    return rope(eye, 6) + stroke(inner, 2)


def _clip(x: float, y: float) -> str:
    """A wire-rope clip on two parts of a rope, live at x - 4 and dead at x + 4: the saddle with its nuts bears on the
    live part, the bow of the U-bolt on the dead one."""
    return (
        box(x - 20, y - 2, 30, 4) + stroke(f"M{x + 8:g} {y - 5:g}h3a5 5 0 0 1 0 10h-3z", LINE_OF_CLIP, "paper")
        + box(x - 14, y - 8, 7, 16) + nut(x - 17, y, 11, 5, False)
    )  # fmt: skip


LINE_OF_CLIP = 1.4


def _clip_end(x: float, y: float, top: float) -> str:
    """An eye at x, y held by three clips; the live part runs on to `top`, the dead end stops above the last clip."""
    live = rope(f"M{x - 4:g} {top:g}V{y - 51:g}", 6)
    dead = rope(f"M{x + 4:g} {y - 142:g}V{y - 51:g}", 6)
    return live + dead + _thimble(x, y) + "".join(_clip(x, y - 64 - 27 * n) for n in range(3)) + box(x, y - 145, 8, 4)


def _sleeve_end(x: float, y: float, top: float) -> str:
    """An eye at x, y held by a pressed sleeve with its press marks; the tail shows above it."""
    live = rope(f"M{x - 4:g} {top:g}V{y - 52:g}", 6)
    tail = rope(f"M{x + 4:g} {y - 112:g}V{y - 100:g}", 6)
    sleeve = stroke(f"M{x - 10:g} {y - 102:g}h20v46h-20z", 1.6, "paper")
    presses = "".join(box(x - 11.5, y - 98 + 14 * n, 23, 9) for n in range(3))
    return live + tail + _thimble(x, y) + sleeve + presses


_END_POINTS = {
    "thimble": "thimble", "clips": "clips-fitted", "measured": "clips-measured", "sleeve": "sleeve",
    "gauge": "sleeve-gauge", "slip": "slip-witness", "wires": "end-wires", "count": "end-wire-count", "pins": "pins",
}  # fmt: skip


def _of(end: str, *keys: str) -> tuple[str, ...]:
    return tuple(f"line-end-{end}-{_END_POINTS[key]}" for key in keys)


def _line_end_arbor() -> Drawing:
    return Drawing(
        "Two ways in which a lift line is made fast in the top of an arbor: left with clips, right with a pressed "
        "sleeve. "
        "The saddle of each clip bears on the live part, which carries the load; the U-bolt bears on the dead end.",
        (
            box(20, 206, 280, 14), ln(20, 234, 20, 206), ln(300, 234, 300, 206), box(70, 188, 28, 18),
            box(206, 188, 28, 18),
            _clip_end(84, 184, 6), _sleeve_end(220, 184, 6), shackle(84, 192, 28, 8), shackle(220, 192, 28, 8),
            ln(74, 20, 92, 20, BOLD), says(58, 24, "live", 9), says(104, 60, "dead", 9),
            stroke("M210 72l20 0M210 69l20 0", FINE), hatched(208, 66, 16, 8, 3),
            run([(224, 70), (252, 62), (270, 76)], FINE),
            box(140, 206, 14, 14, "none", FINE, "2 2"),
        ),
        (
            Place((84, 168), (128, 166), "Thimble", _of("arbor", "thimble")),
            Place((70, 120), (32, 118), "Clips: saddle on the live part", (
                *_of("arbor", "clips", "measured"), "line-end-arbor-from-rail")),
            Place((232, 106), (
                276, 108), "Pressed sleeve, every press mark, tail in view", _of("arbor", "sleeve", "gauge")),
            Place((212, 70), (186, 62), "Witness of slip", _of("arbor", "slip")),
            Place((216, 44), (186, 34), "Wires within a hand of the fitting", _of("arbor", "wires", "count")),
            Place((96, 192), (128, 190), "Pins and shackles", (*_of("arbor", "pins"), "line-end-arbor-wiggle")),
            Place((204, 212), (180, 226), "A hole of its own, still round", ("line-end-arbor-holes",)),
            Place((88, 42), (130, 42), "Tail, tied back", ("line-end-arbor-tails",)),
        ),
    )  # fmt: skip


def _line_end_batten() -> Drawing:
    return Drawing(
        "A lift line made fast to a batten, here with a pressed sleeve and a clamp of two halves: left seen along the "
        "batten, right seen from the side. The points on clips are drawn at the line end at the arbor.",
        (
            _sleeve_end(84, 134, 4), shackle(84, 140, 26, 8),
            box(76, 138, 16, 30), ring(84, 142, 3, "ink"),
            ring(84, 198, 34), ring(84, 198, 26), ring(84, 198, 22), ln(44, 198, 58, 198), ln(110, 198, 124, 198),
            box(44, 190, 12, 16), box(112, 190, 12, 16), nut(50, 186, 12, 7), nut(50, 210, 12, 7), nut(118, 186, 12, 7),
            nut(118, 210, 12, 7),
            rope("M228 4V36"), box(222, 36, 12, 42), box(222, 42, 12, 6), box(222, 54, 12, 6), box(222, 66, 12, 6),
            stroke("M224 78c-4 16 -2 34 4 36c6 -2 8 -20 4 -36", 2), box(219, 110, 18, 54), ring(228, 120, 3, "ink"),
            box(160, 178, 152, 44), ln(160, 186, 312, 186, FINE), ln(160, 214, 312, 214, FINE), box(208, 164, 40, 70),
            ln(208, 198, 248, 198, FINE), bolt(228, 184, 4), bolt(228, 214, 4), ln(256, 172, 256, 228, FINE, "3 3"),
            ln(228, 4, 228, 164, 0.6, "6 3"), box(266, 192, 26, 14), says(279, 203, "L 3", 9),
        ),
        (
            Place((60, 176), (24, 160), "Clamp sits square", (
                "line-end-batten-clamp-square", "line-end-batten-clamp-hand")),
            Place((124, 186), (146, 170), "Clamp bolts and nuts", ("line-end-batten-clamp-bolt",)),
            Place((256, 176), (284, 160), "Line plumb, clamp on its mark", (
                "line-end-batten-line-plumb", "line-end-batten-from-deck", "line-end-batten-in-line")),
            Place((76, 120), (40, 118), "Thimble", _of("batten", "thimble")),
            Place((95, 54), (130, 54), "Sleeve or clips", _of("batten", "sleeve", "gauge", "clips", "measured")),
            Place((80, 28), (50, 42), "Witness of slip", _of("batten", "slip")),
            Place((84, 14), (116, 18), "Wires within a hand of the fitting", _of("batten", "wires", "count")),
            Place((98, 140), (126, 134), "Pins and shackles", (*_of("batten", "pins"), "line-end-batten-rated")),
            Place((91, 160), (112, 156), "Sharp edges", ("line-end-batten-edges",)),
            Place((270, 206), (284, 226), "Line number", ("line-end-batten-label",)),
        ),
    )  # fmt: skip


def _trim() -> Drawing:
    turn = "M238 92h20v8c-6 6 -6 8 -6 24s0 18 6 24v8h-20v-8c6 -6 6 -8 6 -24s0 -18 -6 -24z"
    return Drawing(
        "Left: a trim chain, taken once round the batten and closed with a bolt. Right: a turnbuckle between line and "
        "batten clamp.",
        (
            rope("M84 4V22", 6), stroke("M84 22c-14 6 -14 26 0 30c14 -4 14 -24 0 -30z", 2.4),
            shackle(84, 58, 14, 7, up=True),
            chain(84, 66, 8), ring(84, 188, 26), ring(84, 188, 20), box(68, 148, 32, 7), nut(64, 151.5, 12, 6, False),
            nut(104, 151.5, 12, 6, False), nut(111, 151.5, 12, 6, False),
            stroke("M84 155C52 160 46 188 60 208C74 222 94 222 108 208C122 188 116 160 84 155", 4.6),
            chain(118, 160, 3), stroke("M114 174h10M114 177h10", FINE), sheet(18, 66, 38, 22, 2),
            ln(56, 76, 77, 84, FINE),
            rope("M248 4V16", 6), stroke("M248 16c-12 6 -12 22 0 26c12 -4 12 -20 0 -26z", 2.4), shackle(248, 46, 14, 6),
            ring(248, 57, 8, "none", 2.6), stroke("M248 64V108M248 140V178", 4), stroke(turn, 1.6, "paper"),
            stroke("M248 64V92M248 156V178", 3.4), nut(248, 88, 16, 7), nut(248, 160, 16, 7),
            run([(244, 110), (252, 118), (252, 132), (244, 138)], FINE), ring(248, 186, 8, "none", 2.6),
            ring(248, 212, 18), ring(248, 212, 13), box(243, 190, 10, 6), arrow(268, 64, 268, 84, both=True),
            ln(172, 8, 172, 232, FINE, "2 4"),
        ),
        (
            Place((40, 66), (40, 44), "Grade mark, or its paper", ("trim-grade-mark",)),
            Place((84, 110), (56, 112), "Links: wear, stretch, welds", ("trim-links",)),
            Place((110, 148), (140, 132), "Closing bolt, double nut or cotter", ("trim-closing-bolt",)),
            Place((122, 176), (150, 172), "Spare tail, tied", ("trim-spare-tail",)),
            Place((268, 74), (296, 74), "Threads: showing, and left inside", (
                "trim-turnbuckle-threads", "trim-threads-measured")),
            Place((248, 160), (290, 160), "Locking: nut, wire, cotter", ("trim-locking",)),
            Place((238, 124), (206, 124), "Straight, pulled along its length", ("trim-in-line", "trim-same-device")),
            Place((84, 36), (118, 36), "Carries its share", ("trim-carries",)),
            Place((58, 190), (28, 204), "Height of the batten here", ("trim-batten-height",)),
        ),
    )  # fmt: skip


def _hanger() -> Drawing:
    return Drawing(
        "Left: a dead-hung pipe on beam clamp, shackle and chain. Right: a track with carriers, end stop and a cloth.",
        (
            ln(8, 12, 312, 12, BOLD), ibeam(70, 12, 60, 40),
            run([(42, 44), (36, 44), (36, 60), (104, 60), (104, 44), (98, 44)], 2.6),
            box(62, 60, 16, 12), nut(44, 64, 10, 6), nut(96, 64, 10, 6), shackle(70, 78, 16, 7), chain(70, 86, 7),
            shackle(70, 170, 14, 7, up=True), box(65, 170, 10, 10), ring(70, 202, 25), ring(70, 202, 20),
            ring(70, 202, 16), box(92, 197, 12, 10), bolt(98, 202, 2.4),
            stroke("M108 92c10 0 14 8 10 16c-2 6 -10 6 -12 0", 3.4), says(120, 130, "open hook", 8),
            sheet(20, 116, 34, 22, 2),
            girder(150, 60, 160, 14, 3), ln(180, 12, 180, 60, BOLD), ln(280, 12, 280, 60, BOLD), box(226, 56, 12, 22),
            bolt(232, 67, 2.6), box(303, 56, 8, 26, "ink"),
            *(ring(x, 82, 4) + ln(x, 86, x, 96) for x in (162, 190, 218, 246, 274, 296)),
            stroke(f"M156 96c10 8 14 -6 24 2{'s14 -6 24 2' * 4}s14 -6 26 -4V214c-20 6 -40 -4 -60 2"
                   "s-40 -4 -60 0s-20 0 -26 0z", 1.4, "paper"), sheet(160, 192, 34, 20, 2),
            shape([(196, 20), (216, 20), (222, 38), (190, 38)]), ln(206, 12, 206, 20), says(206, 34, "lamp", 7),
        ),
        (
            Place((98, 56), (128, 54), "Beam clamp", ("dead-hung-beam-clamps",)),
            Place((70, 124), (98, 152), "Chain, wire and clips", ("dead-hung-chain-clip",)),
            Place((119, 100), (138, 84), "Hooks closed or moused", ("dead-hung-hooks",)),
            Place((26, 120), (24, 98), "Capacity sign", ("dead-hung-capacity-sign",)),
            Place((232, 74), (232, 40), "Splice of the track", ("dead-hung-splices",)),
            Place((307, 66), (306, 36), "End stops", ("dead-hung-end-stops",)),
            Place((246, 82), (258, 118), "Carriers", ("dead-hung-carriers",)),
            Place((178, 200), (210, 186), "Flame-treatment label with its date", ("dead-hung-flame-date",)),
            Place((192, 36), (160, 34), "Building lamps", ("dead-hung-building-lamps",)),
        ),
    )  # fmt: skip


def _cable() -> Drawing:
    return Drawing(
        "A cable comes from the grid to an electric batten: a pick takes its weight, clamps lead it along the pipe.",
        (
            floor(8, 312, 14), rope("M70 14V70", 5), stroke("M70 70c-16 8 -14 34 4 34", 3), ring(70, 72, 4, "paper", 2),
            stroke("M96 14C92 60 62 80 66 110C70 150 120 134 130 176", 6),
            stroke("M108 14C104 64 76 84 80 112C84 144 130 126 140 176", 6),
            box(54, 100, 34, 12), stroke("M58 104h26M58 108h26", FINE), box(60, 178, 250, 12),
            *(box(x, 172, 12, 24) for x in (124, 190, 250)),
            stroke("M136 184H300", 5), stroke("M224 196v12M284 196v12", 2.4), box(212, 206, 26, 24),
            box(272, 206, 26, 24),
            box(246, 196, 22, 10), stroke("M250 201h14", FINE), sheet(24, 62, 30, 20, 2), ln(54, 72, 66, 66, FINE),
            box(196, 60, 112, 10), says(252, 56, "next batten", 8), stroke("M150 92C170 110 186 70 206 66", 6),
            arrow(290, 86, 290, 150, both=True),
        ),
        (
            Place((70, 46), (40, 38), "The pick, its knots and ends", ("cables-pick",)),
            Place((56, 106), (28, 118), "Strain relief", ("cables-strain-relief",)),
            Place((196, 174), (178, 152), "Clamps and ties", ("cables-clamp",)),
            Place((188, 78), (164, 60), "Pinched or stretched at out trim", ("cables-pinch",)),
            Place((290, 118), (262, 118), "Share of the load over the travel", ("cables-balance-change",)),
            Place((257, 201), (254, 226), "Plugs: none warmer than its neighbours", ("cables-warm-plugs",)),
            Place((26, 66), (14, 90), "Date of the batch", ("cables-batch-date",)),
        ),
    )  # fmt: skip


def _temporary_point() -> Drawing:
    return Drawing(
        "Left: a temporary sheave on a sling round the steel. Right: the tag, and a tail tied off out of the way.",
        (
            ln(8, 14, 190, 14, BOLD), ibeam(92, 18, 64, 48, 6),
            stroke("M58 14C54 40 56 72 92 96M126 14C130 40 128 72 92 96", 6),
            stroke("M54 20v-10h76v10", 3), box(50, 12, 16, 12, "paper", FINE), box(118, 12, 16, 12, "paper", FINE),
            box(50, 58, 16, 12, "paper", FINE), box(118, 58, 16, 12, "paper", FINE), shackle(92, 108, 20, 9),
            stroke("M110 112c6 -4 10 4 4 6", FINE), box(84, 112, 16, 60), sheave(92, 156, 26, 3), box(86, 112, 12, 48),
            ring(92, 156, 4, "ink"), rope("M68 238V156a24 24 0 0 1 48 0V238"), sheet(16, 118, 40, 50, 4, "TAG"),
            ln(56, 128, 84, 114, FINE), says(40, 216, "?  kg", 10), arrow(56, 206, 66, 218),
            box(210, 96, 96, 12), ln(222, 108, 222, 150), ln(294, 108, 294, 150), rope("M258 14V100"),
            stroke("M252 92c-8 4 -8 22 4 24c12 0 12 -16 2 -20", 3), rope("M264 112c14 10 -14 20 -4 32s22 -2 10 -14"),
            ln(202, 190, 310, 190, BOLD),
            stroke("M206 190v6M218 190v6M230 190v6M242 190v6M254 190v6M266 190v6M278 190v6", FINE),
            stroke("M236 190c0 -14 18 -14 18 0", 3), says(268, 184, "left over", 8, "start"),
        ),
        (
            Place((24, 122), (24, 98), "Tag: owner, show, in, out", ("temporary-points-tag",)),
            Place((70, 88), (40, 84), "Sling, shackle and load in one line", ("temporary-points-in-line",)),
            Place((84, 106), (134, 92), "Rating of every part", ("temporary-points-rated",)),
            Place((114, 113), (146, 116), "Mousing of pins and hooks", ("temporary-points-moused",)),
            Place((120, 44), (160, 44), "On steel that is meant for it", ("temporary-points-on-steel",)),
            Place((130, 16), (164, 22), "Softeners at every edge", ("temporary-points-softeners",)),
            Place((114, 146), (142, 148), "Sheave free", ("temporary-points-sheave-free",)),
            Place((66, 218), (30, 228), "Load, within the grid plan", ("temporary-points-load",)),
            Place((268, 126), (296, 164), "Tails tied off", ("temporary-points-tails",)),
            Place((245, 180), (232, 216), "Points of past shows", ("temporary-points-removed",)),
        ),
    )  # fmt: skip


def _rope_set() -> Drawing:
    return Drawing(
        "A hand-hauled set: three ropes over the grid, held by a trim clamp with its sandbag, made fast on a pin. "
        "Right: "
        "a rope opened by hand.",
        (
            ln(8, 34, 200, 34, BOLD), sheave(150, 24, 9, 2), sheave(162, 22, 11, 2), sheave(174, 24, 9, 2),
            *(sheave(x, 25, 8, 2) for x in (24, 66, 108)),
            *(run([(x, 16), (166, 12)], 1.2) for x in (24, 66, 108)),
            *(rope(f"M{x + 8} 25V120", 4) for x in (16, 58, 100)),
            box(10, 120, 116, 7), rope("M172 22C180 60 160 70 164 190", 4), rope("M180 26C186 60 172 70 170 190", 4),
            rope("M186 26C194 60 180 70 176 190", 4), box(154, 92, 32, 18), bolt(160, 101, 2.6), bolt(180, 101, 2.6),
            ln(170, 110, 170, 122, BOLD), ring(170, 124, 4, "paper", 2),
            shape([(158, 130), (182, 130), (190, 176), (150, 176)]),
            ln(152, 168, 188, 168, FINE, "3 2"), sheet(160, 144, 22, 14, 2),
            box(140, 200, 66, 10), shape([(167, 184), (175, 184), (173, 228), (169, 228)], "paper"),
            stroke("M162 196c6 -6 14 -6 20 0M160 192c6 -6 16 -6 22 0M164 214c4 6 12 6 16 0M162 218c6 6 14 6 18 0", 3),
            stroke("M150 214c-20 6 -34 0 -34 8a14 9 0 0 0 28 0a14 9 0 0 0 -28 3a14 9 0 0 0 27 2", 3),
            ln(212, 8, 212, 232, FINE, "2 4"),
            rope("M224 60H248M292 60H312", 13),
            stroke("M248 54c10 -12 34 -12 44 0M248 60c14 -4 30 -4 44 0M248 66c10 12 34 12 44 0", 2),
            stroke("M262 58l2 4m4 -4l2 4m4 -3l2 3", FINE), rope("M224 130H312", 13),
            stroke("M262 123c2 6 6 6 8 0M284 138c2 -5 6 -5 8 0", 2),
            ln(240, 176, 296, 176, 5), ring(268, 158, 10),
            stroke("M268 168v8M258 146l-4 -6M268 144v-8M278 146l4 -6", FINE),
            sheet(240, 196, 56, 26, 2, "YEAR"),
        ),
        (
            Place((270, 60), (270, 28), "Inside the strands", ("rope-set-inside",)),
            Place((268, 126), (244, 102), "Outside: cuts, glaze, flats", ("rope-set-outside",)),
            Place((66, 80), (44, 80), "All ropes of a set alike", ("rope-set-same-lines",)),
            Place((156, 98), (134, 84), "Jaws of the trim clamp", ("rope-set-clamp-jaws",)),
            Place((154, 160), (130, 164), "Cloth and seams of the bag", ("rope-set-bag-cloth", "rope-set-bag-mass")),
            Place((170, 124), (200, 128), "Ring and snap", ("rope-set-bag-ring",)),
            Place((182, 194), (198, 176), "Turns on the pin", ("rope-set-pin-turns",)),
            Place((117, 226), (92, 214), "Tails coiled", ("rope-set-tails",)),
            Place((90, 124), (90, 148), "Batten a little heavy", ("rope-set-balance", "rope-set-steel-backup")),
            Place((162, 20), (198, 16), "Sheaves", ("rope-set-sheaves",)),
            Place((276, 156), (302, 146), "Lamps and heat", ("rope-set-heat",)),
            Place((244, 200), (226, 222), "Year of the rope", ("rope-set-year",)),
        ),
    )  # fmt: skip


def _double_purchase() -> Drawing:
    return Drawing(
        "How a double-purchase set is reeved: the lift lines go round the sheave on the arbor and back up to a dead "
        "end, "
        "so the arbor travels half as far and carries twice the weight. The hand line is reeved the same way; of its "
        "upper part only the dead end is drawn.",
        (
            ln(8, 44, 312, 44, BOLD), floor(8, 312, 234), box(188, 44, 56, 10), sheave(150, 30, 21),
            rope("M4 12H150a18 18 0 0 1 18 18V104a18 18 0 0 0 36 0V54", 4), ring(204, 54, 4.5, "paper", BOLD),
            sheave(186, 104, 20), box(164, 126, 44, 54), *(ln(164, y, 208, y, FINE) for y in (135, 144, 153, 162, 171)),
            shape([(178, 126), (181, 100), (191, 100), (194, 126)]), ring(186, 104, 3, "ink"),
            sheave(188, 198, 18), shape([(181, 180), (195, 180), (192, 202), (184, 202)]), ring(188, 198, 3, "ink"),
            rope("M204 232V198a16 16 0 0 0 -32 0V212a20 20 0 0 1 -40 0V30a18 18 0 0 1 6 -13", 5),
            ring(204, 230, 4.5, "paper", BOLD),
            sheave(152, 212, 19), rope("M172 198V212a20 20 0 0 1 -40 0V190", 5),
            ring(232, 54, 4.5, "paper", BOLD), rope("M232 58V84", 5), stroke("M232 86V104", 2, dash="3 3"),
            box(118, 150, 26, 12), stroke("M124 150v-16", 3), sheet(40, 130, 46, 38, 3, "2 x"),
            arrow(228, 126, 228, 180, both=True), says(234, 156, "half the travel", 8, "start"),
            arrow(22, 60, 22, 168, both=True), says(28, 88, "whole travel", 8, "start"),
        ),
        (
            Place((198, 116), (226, 112), "Sheaves on top of the arbor", (
                "double-purchase-sheaves-turn", "double-purchase-play-top", "double-purchase-groove-top")),
            Place((196, 212), (238, 210), "Sheave below the arbor", (
                "double-purchase-play-bottom", "double-purchase-groove-bottom")),
            Place((204, 54), (186, 72), "Dead ends of the lift lines", ("double-purchase-dead-end-lift",)),
            Place((204, 230), (224, 228), "Lower dead end of the hand line", ("double-purchase-dead-end-hand",)),
            Place((232, 54), (256, 62), "Upper dead end of the hand line", ("double-purchase-dead-end-hand-top",)),
            Place((82, 140), (104, 122), "Card with twice the load", ("double-purchase-card",)),
            Place((168, 80), (148, 84), "Lines not crossed", ("double-purchase-reeving",)),
            Place((172, 206), (108, 206), "Hand line not crossed", ("double-purchase-reeving-rail",)),
            Place((170, 158), (152, 182), "Stack, plates and collars", ("double-purchase-stack",)),
            Place((132, 120), (110, 96), "Drag even", ("double-purchase-friction",)),
            Place((228, 140), (262, 138), "Both trims reached", ("double-purchase-half-travel",)),
        ),
    )  # fmt: skip


DRAWINGS = {
    PartKind.TERMINATION_ARBOR: _line_end_arbor,
    PartKind.TERMINATION_BATTEN: _line_end_batten,
    PartKind.TRIM: _trim,
    PartKind.HANGER: _hanger,
    PartKind.CABLE: _cable,
    PartKind.TEMPORARY_POINT: _temporary_point,
    PartKind.ROPE_SET: _rope_set,
    PartKind.DOUBLE_PURCHASE: _double_purchase,
}
