"""Drawings of the arbor: its frame, the weights in it, what holds them, its guides and stops."""

from inspect_app.domain.part import PartKind
from inspect_app.output.part_drawing_value import Drawing, Place
from inspect_app.output.part_pen import (
    BOLD,
    FINE,
    arrow,
    bolt,
    box,
    floor,
    hatched,
    ln,
    nut,
    ring,
    rope,
    says,
    scribble,
    shape,
    sheet,
    stroke,
    wall,
)


def _bricks(x: float, y: float, w: float, h: float, count: int) -> str:
    """A stack of `count` weights, its top at y; each `h` high, with the slot for a rod at both ends."""
    drawn = ""
    for n in range(count):
        top = y + n * h
        drawn += box(x, top, w, h)
    return drawn


def _rods(left: float, right: float, top: float, bottom: float) -> str:
    """The two rods of an arbor, each with nuts above and below the plates at `top` and `bottom`."""
    drawn = ""
    for x in (left, right):
        drawn += box(x - 2.5, top, 5, bottom - top) + nut(x, top - 3, 11, 6) + nut(x, bottom + 3, 11, 6)
    return drawn


def _arbor() -> Drawing:
    return Drawing(
        "Left: the arbor from the front, half loaded. Right: from the side, on its guide.",
        (
            rope("M70 2V30", 4), rope("M83 2V30", 4), rope("M96 2V30", 4), rope("M108 2V30", 6),
            box(36, 30, 96, 8), box(36, 206, 96, 8), _rods(50, 118, 30, 214), box(78, 38, 12, 168, "paper", FINE),
            ln(78, 38, 70, 38), _bricks(42, 134, 84, 12, 6), *(box(x - 2.5, 38, 5, 96) for x in (50, 118)),
            rope("M110 236V214", 6), ring(110, 210, 4, "paper", BOLD), ring(104, 34, 4, "paper", BOLD),
            box(76, 60, 20, 15), says(86, 71, "12", 10), box(58, 88, 50, 20), says(83, 101, "700 kg", 8),
            stroke("M20 120l8 3l-6 4l7 4l-6 4", FINE), ln(33, 60, 33, 196, FINE, "5 3"),
            wall(300, 6, 232, 1), box(284, 6, 8, 226), box(292, 40, 8, 10), box(292, 190, 8, 10),
            box(208, 30, 58, 8), box(208, 206, 58, 8), box(258, 30, 8, 184), box(266, 34, 18, 20),
            box(266, 188, 18, 20),
            _bricks(212, 134, 42, 12, 6), box(230, 38, 5, 96), nut(232, 27, 11, 6), nut(232, 217, 11, 6),
            stroke("M258 44l-10 -6M258 200l-10 6", BOLD), rope("M222 2V30", 4),
            stroke("M216 108c-18 0 -18 22 -8 26", 1.4),
            shape([(192, 132), (208, 132), (212, 152), (188, 152)]),
        ),
        (
            Place((46, 210), (22, 222), "Bottom plate", ("arbor-bottom-plate",)),
            Place((42, 34), (20, 26), "Top plate", ("arbor-top-plate",)),
            Place((50, 84), (20, 80), "Rods", ("arbor-rods",)),
            Place((118, 217), (144, 222), "Nuts below", ("arbor-nuts-bottom",)),
            Place((50, 27), (46, 10), "Nuts above", ("arbor-nuts-top",)),
            Place((262, 120), (280, 120), "Back bone and its welds", ("arbor-back-welds",)),
            Place((94, 66), (150, 64), "Number", ("arbor-number",)),
            Place((110, 212), (84, 228), "Hole for the hand line, below", ("arbor-line-hole-bottom",)),
            Place((104, 34), (146, 36), "Hole for the hand line, above", ("arbor-line-hole-top",)),
            Place((33, 150), (14, 156), "Scrapes, and a straight start", ("arbor-scrape", "arbor-starts-straight")),
            Place((106, 98), (150, 98), "Capacity plate", ("arbor-plate",)),
            Place((192, 142), (176, 164), "What was added", ("arbor-no-additions",)),
        ),
    )  # fmt: skip


def _counterweights() -> Drawing:
    plan = "M206 150h80v14h-14a6 6 0 0 0 0 12h14v14h-80v-14h14a6 6 0 0 0 0 -12h-14z"
    return Drawing(
        "Left: the stack in the arbor. The marked weights at the bottom balance the bare batten. Right: the card, "
        "and one "
        "weight from above, with a slot at each end for the rod.",
        (
            box(36, 14, 124, 8), box(36, 216, 124, 8), _rods(54, 142, 14, 224), box(92, 22, 12, 194, "paper", FINE),
            _bricks(44, 86, 108, 13, 5), hatched(44, 177, 108, 13, 5), hatched(44, 190, 108, 13, 5),
            hatched(44, 203, 108, 13, 5),
            _bricks(44, 151, 108, 13, 1), hatched(44, 164, 108, 13, 5),
            shape([(46, 72), (156, 62), (156, 74), (46, 85)]), stroke("M70 99l6 6l-4 3l5 4", 1.2),
            box(51.5, 22, 5, 50), box(139.5, 22, 5, 40), arrow(26, 86, 26, 216, both=True),
            stroke(plan, 1.6, "paper"), ring(216, 170, 3.5, "none", 1), ring(276, 170, 3.5, "none", 1),
            says(246, 174, "12.5 kg", 9),
            sheet(206, 30, 84, 66, 5, "SET 12"), box(226, 214, 40, 5), ln(246, 219, 246, 228),
            ln(232, 228, 260, 228, BOLD),
            box(232, 198, 28, 16),
            arrow(186, 120, 186, 150, both=True),
        ),
        (
            Place((150, 73), (178, 60), "Level, no gap, seen from the rail too", (
                "counterweights-level", "counterweights-from-rail")),
            Place((52, 82), (20, 66), "Round both rods", ("counterweights-both-rods",)),
            Place((150, 190), (178, 196), "Pipe weight, marked", (
                "counterweights-pipe-weight", "counterweights-pipe-weight-balance")),
            Place((246, 206), (290, 210), "Weighed sample", ("counterweights-brick-mass",)),
            Place((74, 106), (122, 106), "Cracks, burrs, odd shapes", ("counterweights-bricks",)),
            Place((26, 150), (12, 140), "Height of the stack", ("counterweights-stack-height",)),
            Place((284, 60), (306, 60), "Card at the rail", ("counterweights-card",)),
            Place((186, 134), (204, 126), "Balance at mid travel", ("counterweights-balance",)),
        ),
    )  # fmt: skip


def _spreaders() -> Drawing:
    collar = box(38, 40, 24, 14) + box(138, 40, 24, 14) + stroke("M38 47h-8M162 47h8", 3)
    collar += stroke("M28 42v10M172 42v10", 3)
    large = (
        box(222, 60, 8, 88), box(208, 84, 36, 26), box(244, 92, 18, 9), box(262, 86, 6, 21),
        ln(265, 86, 265, 107, FINE),
        box(196, 112, 60, 6), box(196, 118, 60, 20), arrow(266, 60, 266, 78),
    )  # fmt: skip
    plan = "M200 172h80v12h-12a6 6 0 0 0 0 12h12v12h-80v-12h12a6 6 0 0 0 0 -12h-12z"
    return Drawing(
        "Left: spreader plates spread through the stack, one on top, a collar on each rod down on it. Right, larger: a "
        "collar with its screw; a plate from above.",
        (
            box(30, 14, 140, 8), box(30, 216, 140, 8), _rods(50, 150, 14, 224),
            box(34, 54, 132, 5, "ink"), _bricks(38, 59, 124, 13, 3), box(34, 98, 132, 5, "ink"),
            _bricks(38, 103, 124, 13, 3),
            box(34, 142, 132, 5, "ink"), _bricks(38, 147, 124, 13, 5), box(47.5, 22, 5, 18), box(147.5, 22, 5, 18),
            collar,
            arrow(180, 103, 180, 142, both=True), *large, stroke(plan, 1.6, "paper"),
            box(226, 222, 60, 10), ring(238, 227, 3), ring(252, 227, 3), box(262, 223, 16, 7),
            stroke("M282 26a8 8 0 1 1 12 10", 3), ln(280, 30, 300, 48, 1.2), says(304, 26, "no", 9),
        ),
        (
            Place((166, 100), (190, 84), "Plates: how many, spread through the stack", (
                "spreaders-number", "spreaders-spread")),
            Place((180, 122), (186, 152), "Distance between plates", ("spreaders-spacing",)),
            Place((100, 56), (100, 34), "One on top", ("spreaders-top-plate",)),
            Place((44, 44), (14, 34), "Collars down on the plate", (
                "spreaders-collars", "spreaders-collars-from-rail")),
            Place((264, 96), (292, 96), "Screws: there, turning, gripping", (
                "spreaders-screws", "spreaders-screw-grips")),
            Place((226, 66), (204, 58), "Collar holds a sharp lift", ("spreaders-collar-holds",)),
            Place((290, 32), (262, 26), "Nothing stands in for a collar", ("spreaders-substitutes",)),
            Place((240, 226), (200, 222), "Spares at hand", ("spreaders-spares",)),
        ),
    )  # fmt: skip


def _guide() -> Drawing:
    tee = "M206 44h80v7h-36v30h-8v-30h-36z"
    shoe = "M222 58h18v26h12v-26h18v34h-48z"
    return Drawing(
        "Left: two T-bars and the arbor's shoes on one of them, from the front. Right above: bar and shoe from "
        "above. Right "
        "below: a wire guide, where the house has these.",
        (
            box(30, 6, 10, 228), box(110, 6, 10, 228), ln(35, 6, 35, 234, FINE), ln(115, 6, 115, 234, FINE),
            ln(24, 120, 46, 120, BOLD), ln(104, 120, 126, 120, BOLD), box(26, 106, 18, 28, "none"),
            box(106, 106, 18, 28, "none"),
            *(ring(x, y, 2, "ink") for x in (35, 115) for y in (111, 129)),
            box(14, 40, 30, 9), box(106, 40, 30, 9), box(14, 200, 30, 9), box(106, 200, 30, 9),
            ring(20, 44.5, 1.8, "ink"),
            ring(20, 204.5, 1.8, "ink"), ring(130, 44.5, 1.8, "ink"), ring(130, 204.5, 1.8, "ink"),
            box(104, 62, 22, 28), box(104, 156, 22, 28), box(126, 70, 34, 10), box(126, 164, 34, 10),
            box(152, 62, 8, 122),
            stroke("M112 94l2 8M117 96l2 8M114 108l2 8", FINE), scribble(22, 48, 230),
            arrow(40, 24, 110, 24, both=True),
            stroke(tee, 1.6, "ink"), stroke(shoe, 1.6, "paper"), hatched(222, 58, 14, 26, 5),
            hatched(256, 58, 14, 26, 5),
            box(222, 84, 48, 8), box(238, 92, 16, 14), wall(206, 30, 58, -1), wall(286, 30, 58, 1),
            ln(196, 122, 312, 122, FINE, "2 4"), ln(206, 136, 300, 136, BOLD), floor(200, 306, 226),
            rope("M236 136V210", 4),
            rope("M272 136V210", 4), box(232, 140, 8, 12), box(268, 140, 8, 12), box(232, 196, 8, 14),
            box(268, 196, 8, 14),
            nut(236, 215, 10, 6), nut(272, 215, 10, 6), box(244, 164, 20, 28), ring(242, 170, 3), ring(266, 170, 3),
        ),
        (
            Place((115, 120), (84, 120), "Joints flush, bolts in", ("guides-joints-low", "guides-joints-high")),
            Place((35, 80), (12, 84), "Rails straight", ("guides-straight", "guides-gauge")),
            Place((20, 204), (58, 196), "Brackets to the wall", ("guides-brackets-low", "guides-brackets-high")),
            Place((106, 76), (84, 76), "Shoes: play, no sticking", ("guides-shoe-play", "guides-sticking", "guides-run",
                "guides-sound")),
            Place((228, 72), (196, 80), "Lining of the shoe", ("guides-shoe-thickness",)),
            Place((115, 100), (136, 100), "Scores, and filings below", ("guides-scores",)),
            Place((120, 190), (142, 198), "Grease or oil", ("guides-grease",)),
            Place((236, 180), (210, 176), "Guide wires equally tight", ("guides-wire-tension",)),
            Place((272, 203), (298, 203), "Lower ends of the wires", ("guides-wire-ends-low",)),
            Place((272, 146), (298, 150), "Upper ends of the wires", ("guides-wire-ends-high",)),
            Place((264, 180), (298, 176), "Arbor clear of its neighbours", ("guides-wire-contact",)),
        ),
    )  # fmt: skip


def _stop() -> Drawing:
    return Drawing(
        "The two stops of an arbor, on the guide wall: below with its bumper above the pit, and above under the "
        "head steel.",
        (
            wall(200, 6, 214, 1), box(184, 6, 8, 208), box(96, 26, 104, 14), bolt(178, 33, 3), bolt(120, 33, 3),
            hatched(104, 40, 56, 12, 5), box(112, 88, 64, 60),
            *(ln(112, y, 176, y, FINE) for y in (100, 112, 124, 136)),
            box(176, 94, 8, 12), box(176, 130, 8, 12), hatched(104, 166, 56, 12, 5), box(96, 178, 104, 14),
            bolt(178, 185, 3),
            bolt(120, 185, 3), stroke("M98 178c10 7 18 7 26 0", 1.2), floor(8, 88, 214), ln(88, 214, 88, 232, BOLD),
            ln(88, 232, 200, 232, BOLD), ln(200, 214, 200, 232, BOLD), box(62, 208, 26, 5, "ink"),
            arrow(140, 150, 140, 164),
            box(30, 186, 22, 28), stroke("M30 196h22", FINE), ln(216, 30, 304, 30, BOLD), says(262, 24, "pipe", 9),
            ring(236, 36, 5), rope("M260 90V30", 4), box(222, 88, 84, 8), arrow(286, 84, 286, 34, both=True),
            ln(140, 54, 140, 86, FINE, "3 2"),
            stroke("M108 198v30M120 198v30M108 206h12M108 214h12M108 222h12", FINE),
        ),
        (
            Place((104, 185), (76, 180), "Lower stop: bolted, square", ("stops-lower",)),
            Place((104, 33), (76, 30), "Upper stop", ("stops-upper", "stops-upper-grid")),
            Place((154, 172), (216, 172), "Bumper below", ("stops-bumper",)),
            Place((110, 46), (76, 54), "Bumper above", ("stops-bumper-upper",)),
            Place((112, 182), (98, 206), "Marks of a crash", ("stops-crash-marks",)),
            Place((140, 158), (90, 150), "Arbor meets its stop first", ("stops-meets-first",)),
            Place((286, 58), (304, 60), "Gap above the batten, and the over-run", ("stops-over-run",)),
            Place((150, 230), (170, 212), "Pit: cover, ladder, light, clean", ("stops-pit",)),
            Place((42, 190), (42, 166), "Nothing stored under the arbor", ("stops-nothing-under",)),
        ),
    )  # fmt: skip


DRAWINGS = {
    PartKind.ARBOR: _arbor,
    PartKind.COUNTERWEIGHTS: _counterweights,
    PartKind.SPREADERS: _spreaders,
    PartKind.GUIDE: _guide,
    PartKind.STOP: _stop,
}
