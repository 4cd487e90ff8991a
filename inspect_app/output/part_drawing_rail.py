"""Drawings of what is at the rail: the hand line, what holds it, and the rails."""

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
    padlock,
    ring,
    rope,
    run,
    says,
    shape,
    sheave,
    sheet,
    stroke,
)


def _hand_line() -> Drawing:
    return Drawing(
        "The hand line is a loop: from the top of the arbor over the head block, down through the lock, round the "
        "tension "
        "block and up to the bottom of the arbor. Right, larger: knot and tag.",
        (
            ln(8, 46, 150, 46, BOLD), floor(8, 196, 232), sheave(84, 34, 26),
            rope("M106 104V34a22 22 0 0 0 -44 0V204", 7),
            rope("M62 190V204a22 22 0 0 0 44 0V160", 7), sheave(84, 206, 18), box(88, 104, 36, 56),
            *(ln(88, y, 124, y, FINE) for y in (116, 128, 140)), rope("M106 104V90", 7), box(100, 94, 12, 12),
            box(100, 158, 12, 12),
            box(48, 146, 30, 18), stroke("M52 146l-12 -24", 4), box(56, 112, 12, 6, "ink"),
            rope("M236 6V88a7 9 0 0 0 14 0V34", 10), ring(243, 98, 10, "none", 3),
            rope("M236 60V88a7 9 0 0 0 14 0V60", 10),
            hatched(229, 46, 28, 7, 4), hatched(229, 66, 28, 7, 4), box(206, 107, 74, 9), ln(206, 111, 280, 111, FINE),
            stroke("M246 36h8", 1.6),
            ln(212, 128, 312, 128, FINE, "2 4"), rope("M212 156H312", 15),
            stroke("M232 149l4 -6m2 6l2 -7m4 7l4 -5M238 163l3 6m3 -6l4 5", 1.2),
            box(272, 147, 20, 18), sheet(222, 186, 50, 34, 2, "YEAR"), ln(272, 200, 290, 165, FINE),
            arrow(304, 146, 304, 166, both=True),
            arrow(140, 186, 140, 226, both=True),
        ),
        (
            Place((240, 148), (240, 130), "Surface: cuts, fuzz, glaze, flats", (
                "hand-line-surface", "hand-line-whole-run")),
            Place((62, 80), (36, 84), "In the hands: stiff, hollow, uneven", (
                "hand-line-stiffness", "hand-line-runs-even", "hand-line-squeak")),
            Place((106, 166), (140, 166), "Knot or fitting below", ("hand-line-knot-bottom",)),
            Place((106, 98), (138, 94), "Knot or fitting above: dressed, tail long and tied", ("hand-line-knot-top",)),
            Place((62, 154), (28, 168), "Where it sits in the lock", ("hand-line-lock-place",)),
            Place((282, 156), (296, 182), "Old tape and marks", ("hand-line-tape",)),
            Place((106, 70), (130, 66), "Front and back tight", ("hand-line-tension",)),
            Place((304, 156), (302, 130), "Diameter fits the lock", ("hand-line-diameter",)),
            Place((248, 210), (292, 216), "Year and kind", ("hand-line-year-tag",)),
            Place((140, 206), (164, 206), "Length taken up, dated", ("hand-line-stretch",)),
            Place((70, 14), (42, 18), "In its groove at the head block", ("hand-line-at-head",)),
        ),
    )  # fmt: skip


def _rope_lock() -> Drawing:
    return Drawing(
        "Left: the lock closed, its housing opened: two shoes grip the hand line, the handle stands up over centre, "
        "the ring "
        "lies over handle and line. Right: the lock open.",
        (
            box(20, 196, 150, 26), ln(20, 204, 170, 204, FINE), bolt(46, 190, 3.2), bolt(144, 190, 3.2),
            box(56, 126, 82, 70), box(36, 190, 122, 7), rope("M94 4V236", 9),
            shape([(66, 140), (88, 136), (88, 186), (66, 180)]),
            shape([(100, 136), (122, 142), (122, 182), (100, 186)]),
            stroke("M88 140v44M100 140v44", BOLD), ring(126, 160, 5, "ink"),
            shape([(122, 166), (114, 152), (104, 40), (110, 36), (118, 40), (130, 158)]), ring(126, 160, 5, "ink"),
            stroke("M84 62c-4 -8 42 -10 38 0s-34 8 -38 0", 3), nut(62, 160, 12, 6, False), ln(50, 160, 66, 160, 3),
            ring(74, 134, 3, "none"), padlock(146, 128), ring(146, 128, 5, "none"),
            sheet(24, 140, 28, 24, 2), stroke("M60 150l-4 8l4 4l-4 8", 1.1),
            box(200, 196, 110, 26), box(216, 126, 70, 70), rope("M250 4V236", 9),
            shape([(224, 142), (238, 146), (238, 178), (224, 178)]),
            shape([(262, 146), (276, 142), (276, 180), (262, 178)]), ring(280, 160, 5, "ink"),
            shape([(276, 166), (276, 154), (304, 108), (312, 112), (288, 166)]), ring(280, 160, 5, "ink"),
            stroke("M242 120c-2 -6 18 -6 16 0s-14 6 -16 0", 3), stroke("M246 60h8M246 66h8M246 72h8", 1.2),
            arrow(306, 96, 276, 42),
        ),
        (
            Place((112, 80), (142, 82), "Handle: opens, closes, goes over centre", (
                "rope-lock-opens-closes", "rope-lock-handle-play")),
            Place((94, 116), (62, 108), "Holds the test pull", ("rope-lock-holds",)),
            Place((86, 60), (54, 56), "Ring over handle and line", ("rope-lock-ring", "rope-lock-ringed-when-left")),
            Place((76, 176), (30, 180), "Shoes or cam", ("rope-lock-shoes",)),
            Place((58, 166), (14, 134), "Frame and handle: cracks", ("rope-lock-frame",)),
            Place((144, 190), (174, 184), "Bolts to the rail", ("rope-lock-bolts",)),
            Place((150, 140), (172, 138), "Place for a padlock", ("rope-lock-padlock",)),
            Place((250, 66), (222, 66), "Signs of braking with the lock", ("rope-lock-braking",)),
            Place((36, 146), (36, 118), "The lock's own figure", ("rope-lock-plate",)),
        ),
    )  # fmt: skip


def _tension_block() -> Drawing:
    return Drawing(
        "Left: the floor block between its guides, from the front; it slides to take up the hand line's slack. "
        "Right: from the side.",
        (
            floor(8, 312, 232), box(22, 60, 12, 172), box(154, 60, 12, 172), rope("M56 6V150", 7),
            rope("M132 6V150", 7),
            rope("M56 140V148a38 38 0 0 0 76 0V140", 7), sheave(94, 148, 42),
            shape([(78, 206), (84, 136), (104, 136), (110, 206)]), ring(94, 148, 5, "ink"), box(34, 176, 120, 12),
            bolt(44, 182, 3),
            bolt(144, 182, 3), box(18, 172, 20, 20, "none"), box(150, 172, 20, 20, "none"), box(84, 206, 20, 14),
            arrow(180, 120, 180, 226, both=True), stroke("M118 192l10 6m-8 2l10 6", FINE),
            stroke("M154 164l14 -12", 4), ring(170, 150, 3.4),
            box(246, 90, 28, 116), ln(240, 148, 280, 148, 5), nut(238, 148, 12, 5, False), nut(282, 148, 12, 5, False),
            box(254, 106, 12, 84), rope("M260 6V108", 7), box(232, 176, 56, 12), stroke("M222 232V196h12", BOLD),
            says(214, 192, "cover", 8),
            arrow(250, 78, 270, 78, both=True),
        ),
        (
            Place((34, 182), (52, 206), "Floats and re-seats", ("tension-block-floats", "tension-block-rattle")),
            Place((168, 152), (188, 100), "Latch or wedge", ("tension-block-latch",)),
            Place((60, 162), (46, 108), "Rope in its groove, both sides", ("tension-block-groove",)),
            Place((260, 82), (296, 82), "Play on the pin", ("tension-block-play",)),
            Place((144, 182), (128, 216), "Guide bolts and side plates", ("tension-block-guide-bolts",)),
            Place((180, 196), (200, 210), "Take-up left", ("tension-block-take-up",)),
            Place((124, 198), (156, 206), "Pry marks", ("tension-block-pry-marks",)),
            Place((224, 210), (246, 218), "Toe cover", ("tension-block-toe-cover",)),
        ),
    )  # fmt: skip


def _locking_rail() -> Drawing:
    def lock(x: float) -> str:
        return (
            rope(f"M{x} 54V226", 5) + box(x - 9, 116, 18, 18) + stroke(f"M{x + 6} 116l4 -34", 4)
            + stroke(f"M{x - 5} 94c0 -5 18 -5 18 0s-18 5 -18 0", 2) + sheet(x - 14, 146, 28, 22, 2)
        )  # fmt: skip

    return Drawing(
        "The rail from the operator's side: locks in a row, a card under each, the light above, posts down to the "
        "floor.",
        (
            floor(8, 312, 228), *(lock(x) for x in (84, 130, 176, 222)), box(14, 134, 284, 9), box(14, 172, 284, 9),
            box(30, 134, 14, 94), box(266, 134, 14, 94), box(20, 220, 34, 8), box(256, 220, 34, 8),
            bolt(26, 216, 2.6), bolt(48, 216, 2.6),
            bolt(262, 216, 2.6), bolt(284, 216, 2.6), run([(262, 134), (262, 126), (284, 126), (284, 220)], BOLD),
            box(46, 24, 210, 12), stroke("M60 36l-8 12M110 36l-4 14M200 36l4 14M246 36l8 12", FINE),
            run([(256, 30), (300, 30), (300, 134)], 1.2),
            box(282, 66, 22, 34), stroke("M288 72h10M288 78h10", FINE), ring(293, 92, 3),
            stroke("M286 62c4 -8 12 -8 14 0", 3),
            ring(16, 100, 5, "none", 2), ring(24, 108, 5, "none", 2), padlock(40, 92), ln(10, 90, 48, 90),
            stroke("M190 181c2 12 -10 20 -6 34c10 8 22 6 26 -4c-2 -12 -8 -20 -6 -30", 1.4, "paper"),
            stroke("M16 46c8 -10 26 -10 34 0c-8 8 -26 8 -34 0z"), ring(33, 45, 4, "ink"),
        ),
        (
            Place((60, 138), (60, 160), "Rail does not give", ("locking-rail-rigid",)),
            Place((26, 216), (14, 196), "Posts and floor anchors", ("locking-rail-anchors",)),
            Place((284, 190), (304, 190), "Held down against uplift", ("locking-rail-uplift",)),
            Place((130, 158), (106, 192), "Cards, and the same number at all five places", (
                "locking-rail-card", "locking-rail-labels-agree")),
            Place((150, 30), (150, 54), "Light along the rail", ("locking-rail-light", "locking-rail-light-clear")),
            Place((196, 206), (226, 206), "Rail and floor kept clear", ("locking-rail-clear",)),
            Place((293, 84), (268, 66), "Calls to stage, bridge and grid", ("locking-rail-comms",)),
            Place((24, 104), (52, 118), "Tags, padlocks, spare rings", ("locking-rail-kit",)),
            Place((33, 44), (62, 62), "Sight of the stage", ("locking-rail-sight",)),
        ),
    )  # fmt: skip


def _pin_rail() -> Drawing:
    def pin(x: float) -> str:
        return (
            shape([(x - 5, 84), (x + 5, 84), (x + 4, 172), (x - 4, 172)]) + ring(x, 82, 7)
            + stroke(f"M{x - 10} 108c6 -6 14 -6 20 0M{x - 12} 116c6 -6 18 -6 24 0M{x - 8} 150c4 5 12 5 16 0", 3)
        )  # fmt: skip

    return Drawing(
        "The rail with its pins; the rail in the middle is cut open to show a pin in its hole. Lines are made fast "
        "with turns "
        "round head and foot of the pin.",
        (
            floor(8, 312, 226), box(14, 120, 284, 24), *(pin(x) for x in (66, 110, 200, 244)),
            *(rope(f"M{x} 6V96", 4) for x in (66, 110, 200, 244)),
            hatched(140, 120, 30, 24, 6), box(150, 120, 10, 24),
            shape([(151, 84), (159, 84), (158, 172), (152, 172)]), ring(155, 82, 7),
            box(14, 120, 26, 24, "paper"), box(20, 144, 14, 82), box(272, 120, 26, 24), box(278, 144, 14, 82),
            bolt(27, 132, 3), bolt(285, 132, 3),
             ring(88, 132, 5, "none", 1.4, "2 2"),
            *(box(x - 8, 176, 16, 11) + says(x, 185, t, 8)
            for x, t in ((66, "7"), (110, "8"), (155, "9"), (200, "10"), (244, "11"))),
            ln(8, 206, 50, 206, BOLD), ln(220, 206, 312, 206, BOLD), sheet(226, 28, 54, 26, 2, "max"),
            arrow(14, 112, 2, 112, both=True),
        ),
        (
            Place((48, 122), (44, 98), "Rail firm", ("pin-rail-rigid",)),
            Place((285, 132), (306, 118), "Bolts and brackets", ("pin-rail-bolts",)),
            Place((160, 130), (178, 106), "Holes round", ("pin-rail-holes",)),
            Place((155, 160), (178, 166), "Pins straight, unsplit", ("pin-rail-pins",)),
            Place((88, 132), (88, 160), "None missing", ("pin-rail-none-missing",)),
            Place((208, 182), (222, 190), "Number plates", ("pin-rail-numbers",)),
            Place((300, 206), (300, 186), "Edge guarded", ("pin-rail-edge-guard",)),
            Place((276, 46), (300, 62), "Capacity posted", ("pin-rail-capacity",)),
        ),
    )  # fmt: skip


DRAWINGS = {
    PartKind.HAND_LINE: _hand_line,
    PartKind.ROPE_LOCK: _rope_lock,
    PartKind.TENSION_BLOCK: _tension_block,
    PartKind.LOCKING_RAIL: _locking_rail,
    PartKind.PIN_RAIL: _pin_rail,
}
