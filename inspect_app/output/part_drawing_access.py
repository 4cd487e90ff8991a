"""Drawings of what people stand on and go by: decks, wells, rails, ladders, hatches, lights, papers, anchors."""

from inspect_app.domain.part import PartKind
from inspect_app.output.part_drawing_value import Drawing, Place
from inspect_app.output.part_pen import (
    BOLD,
    FINE,
    arrow,
    bolt,
    box,
    channel,
    floor,
    ibeam,
    ln,
    nut,
    ring,
    rope,
    run,
    says,
    scribble,
    shape,
    sheet,
    stroke,
    wall,
)


def _rail(x1: float, x2: float, top: float, foot: float) -> str:
    """A guardrail: top rail, middle rail, toe board."""
    mid = (top + foot) / 2
    return box(x1, top, x2 - x1, 5) + box(x1, mid, x2 - x1, 4) + box(x1, foot - 14, x2 - x1, 14)


def _loading_bridge() -> Drawing:
    return Drawing(
        "Cut across the loading bridge: the arbors on the left, stored weights on the deck, a rail at the back.",
        (
            wall(12, 6, 236, -1), box(34, 18, 30, 6), box(34, 150, 30, 6), box(38, 24, 4, 126), box(56, 24, 4, 126),
            *(box(32, 98 + 10 * n, 34, 10) for n in range(5)), rope("M49 4V18", 4), box(16, 40, 6, 160, "paper", FINE),
            box(22, 30, 12, 10, "paper", FINE), box(84, 176, 210, 10), ibeam(110, 186, 30, 34), ibeam(262, 186, 30, 34),
            *(ln(x, 176, x, 186, FINE) for x in range(96, 290, 10)), run([(262, 172), (262, 176)], 4),
            bolt(110, 176, 2.6),
            box(86, 152, 5, 24), box(86, 112, 5, 40), ring(88, 112, 3, "ink"),
            stroke("M88 112C100 126 108 126 116 112", 1.4),
            box(114, 106, 5, 70), box(290, 90, 5, 86), ln(270, 92, 292, 92, 4), ln(270, 130, 292, 130, 3),
            box(286, 156, 4, 20),
            *(box(140, 164 - 8 * n, 30, 8) for n in range(0, 1)), *(box(136, 168 - 8 * n, 34, 8) for n in range(2)),
            *(box(184, 168 - 8 * n, 34, 8) for n in range(2)), *(box(228, 168 - 8 * n, 34, 8) for n in range(4)),
            ln(128, 156, 276, 156, FINE, "4 3"), sheet(150, 88, 44, 26, 2, "max"), sheet(206, 88, 44, 40, 4, "CALLS"),
            stroke("M150 10h40l8 14h-56z"), stroke("M156 28l-8 16M170 28v18M184 28l8 16", FINE), ln(170, 4, 170, 10),
            ring(126, 60, 8), stroke("M126 68v40l-10 40M126 108l10 40M126 78L72 104", 2.4),
            stroke("M140 52c4 4 4 10 0 14M145 48c7 6 7 16 0 22", FINE),
            box(176, 172, 6, 4, "ink"), ln(104, 170, 112, 174, BOLD),
        ),
        (
            Place((244, 146), (266, 112), "Stacks below the kick rail", ("loading-bridge-stacks-low",)),
            Place((200, 164), (212, 146), "Stacks spread along the bridge", ("loading-bridge-stacks-spread",)),
            Place((156, 100), (136, 92), "Load plate, and what is stored", ("loading-bridge-stored-mass",)),
            Place((88, 164), (72, 176), "Toe board", ("loading-bridge-toe-board-gaps",)),
            Place((102, 122), (102, 144), "Rail, chain or gate at the arbors", ("loading-bridge-edge-guard",)),
            Place((110, 178), (140, 204), "Deck plates, clips, bolts", ("loading-bridge-deck-fixings",)),
            Place((176, 20), (214, 20), "Light", ("loading-bridge-light", "loading-bridge-headroom-trips")),
            Place((78, 102), (88, 82), "Reach to every arbor", ("loading-bridge-reach",)),
            Place((147, 58), (170, 64), "Calls to rail and deck", ("loading-bridge-radio",)),
            Place((240, 100), (270, 76), "Today's calls and weights", ("loading-bridge-call-board",)),
            Place((179, 174), (190, 202), "Nothing loose", ("loading-bridge-loose-things",)),
        ),
    )  # fmt: skip


def _grid_deck() -> Drawing:
    return Drawing(
        "Left: a bay of channels from above, a cut-out in it. Right: cut through the channels on their support, and "
        "the end "
        "of a grating panel on its beam.",
        (
            *(box(12 + 22 * n, 14, 10, 206) for n in range(8)), box(6, 10, 186, 8), box(6, 216, 186, 8),
            box(6, 112, 186, 8),
            *(ring(17 + 22 * n, 116, 2, "ink") for n in range(8)), box(76, 138, 48, 44, "paper"),
            box(80, 142, 40, 36, "paper"),
            shape([(34, 34), (44, 34), (50, 60), (44, 86), (34, 86), (40, 60)]), arrow(154, 70, 166, 70, both=True),
            stroke("M150 196l10 -4l4 8l-8 6z", 1.2, "paper"), ring(28, 190, 4), scribble(100, 120, 210),
            stroke("M14 150c4 -4 8 4 4 8s-6 10 0 12", 1),
            *(channel(220 + 30 * n, 40, 12, 26, 1, 3) for n in range(3)), box(206, 66, 104, 8),
            ibeam(258, 74, 34, 40, 4),
            *(run([(233 + 30 * n, 60), (238 + 30 * n, 60), (238 + 30 * n, 72)], BOLD) for n in range(2)),
            arrow(233, 50, 250, 50, both=True), ln(204, 130, 312, 130, FINE, "2 4"),
            box(206, 160, 76, 20), *(ln(214 + 9 * n, 160, 214 + 9 * n, 180, FINE) for n in range(8)),
            ibeam(276, 180, 40, 44, 4),
            arrow(257, 188, 281, 188, both=True), run([(286, 166), (292, 166), (292, 184)], BOLD),
            sheet(206, 196, 36, 30, 2, "max"),
        ),
        (
            Place((105, 60), (122, 44), "Firm underfoot", ("grid-deck-underfoot",)),
            Place((83, 116), (60, 98), "Clips, welds, saddles; rattle", ("grid-deck-fixings", "grid-deck-rattle")),
            Place((46, 60), (72, 62), "Bars bent, spread, cut", ("grid-deck-bars",)),
            Place((160, 70), (180, 88), "Widest slot or gap", (
                "grid-deck-slot", "grid-deck-gap", "grid-deck-slot-accepted")),
            Place((269, 188), (302, 200), "Bearing at both ends", ("grid-deck-bearing", "grid-deck-bearing-length")),
            Place((80, 160), (60, 160), "Cut-outs", ("grid-deck-cut-outs",)),
            Place((17, 160), (38, 136), "Rust, flaking", ("grid-deck-rust",)),
            Place((155, 198), (178, 202), "Loose things", ("grid-deck-loose-things",)),
            Place((110, 209), (128, 200), "Oil, droppings, dust, water", ("grid-deck-slippery",)),
            Place((224, 212), (224, 143), "Load plate", ("grid-deck-load-plate",)),
        ),
    )  # fmt: skip


def _well() -> Drawing:
    return Drawing(
        "Cut across a loft well in the grid deck: the lines go down through it. Right: a cover on a stair opening.",
        (
            box(8, 150, 76, 10), box(150, 150, 60, 10), channel(84, 160, -24, 34, -1), channel(150, 160, 24, 34, 1),
            *(ln(x, 150, x, 160, FINE) for x in (*range(14, 84, 9), *range(156, 210, 9))), box(70, 145, 14, 5, "ink"),
            box(150, 145, 14, 5, "ink"),
            rope("M104 6V236", 4), rope("M128 6V236", 4), arrow(84, 134, 150, 134, both=True),
            stroke("M22 148c4 -8 18 -8 22 0zM46 148c4 -8 18 -8 22 0z", 1.4, "paper"),
            ln(20, 60, 20, 150, 3), ln(8, 62, 66, 62, 4), ln(8, 104, 66, 104, 3), ring(180, 40, 6, "paper", 3),
            ln(180, 6, 180, 34, BOLD),
            stroke("M180 46c-6 30 -12 60 -26 80", 1.4, dash="4 3"), stroke("M86 172c16 10 46 10 62 0", 1.2),
            stroke("M92 176l4 4m6 0l4 3m8 0l4 0m8 -2l4 -3", FINE),
            box(222, 150, 92, 10), box(236, 143, 64, 7, "ink"), stroke("M244 140v-8h12v8M280 140v-8h12v8", 1.6),
            bolt(240, 140, 2.6), bolt(296, 140, 2.6),
            ln(226, 84, 226, 150, 3), ln(308, 84, 308, 150, 3), ln(226, 86, 308, 86, 4), ln(226, 116, 250, 116, 3),
            ln(284, 116, 308, 116, 3),
            says(268, 112, "open", 8),
            stroke("M240 176l30 0M246 188h28M252 200h28M258 212h28M236 164l28 60M268 164l28 60", 1.6),
            sheet(180, 186, 34, 34, 4),
        ),
        (
            Place((117, 134), (116, 112), "Clear width, unguarded length", ("wells-size",)),
            Place((268, 146), (268, 128), "Covers in place and fixed", ("wells-cover",)),
            Place((286, 132), (302, 108), "Covers marked", ("wells-cover-marked",)),
            Place((78, 147), (84, 106), "Painted rim", ("wells-rim-paint",)),
            Place((34, 146), (34, 126), "Room for both feet", ("wells-footing",)),
            Place((180, 42), (204, 48), "Anchor or rail in reach", ("wells-hold",)),
            Place((128, 156), (146, 208), "Lines clear of the lip", ("wells-lines-clear",)),
            Place((20, 84), (48, 84), "Head well guarded", ("wells-head-well",)),
            Place((96, 177), (66, 206), "What keeps things from falling", ("wells-falling-objects",)),
            Place((226, 96), (208, 96), "Stair and hoist openings guarded", ("wells-stair-opening",)),
            Place((186, 192), (166, 226), "Who accepted it open, on paper", ("wells-accepted",)),
        ),
    )  # fmt: skip


def _guardrail() -> Drawing:
    return Drawing(
        "A guardrail from inside, with a length that is taken out for loading.",
        (
            floor(8, 312, 206), *(box(x - 4, 50, 8, 156) for x in (34, 118, 206, 292)), _rail(34, 118, 50, 206),
            _rail(206, 292, 50, 206),
            *(box(x - 4, 50, 8, 156) for x in (34, 118, 206, 292)), box(126, 54, 72, 5), box(126, 128, 72, 4),
            box(128, 192, 68, 14), box(128, 54, 5, 152),
            box(191, 54, 5, 152), ring(124, 70, 3.4, "ink"), ring(124, 176, 3.4, "ink"),
            run([(124, 70), (110, 80), (114, 90)], 1),
            *(box(x - 14, 200, 28, 6) + bolt(x - 9, 198, 2.2) + bolt(x + 9, 198, 2.2) for x in (34, 206)),
            arrow(22, 50, 22, 206, both=True), arrow(70, 57, 70, 126, both=True), arrow(302, 192, 302, 206, both=True),
            arrow(76, 30, 76, 48), stroke("M236 50c-2 24 10 30 4 52c-2 10 12 10 12 0", 3), box(232, 104, 24, 20),
            ring(166, 202, 4), nut(176, 202, 8, 5),
        ),
        (
            Place((76, 40), (98, 26), "Firm when pushed", ("guardrails-push",)),
            Place((118, 130), (96, 138), "Without a gap", ("guardrails-continuous",)),
            Place((124, 70), (148, 82), "Removable lengths pinned", ("guardrails-removable",)),
            Place((22, 130), (14, 96), "Height, largest opening", ("guardrails-measures",)),
            Place((302, 199), (302, 174), "Toe board: height, gap below", ("guardrails-toe-measures",)),
            Place((240, 88), (266, 84), "No loads on the rail", ("guardrails-no-loads",)),
            Place((170, 204), (166, 172), "Small parts kept in", ("guardrails-small-parts",)),
            Place((215, 198), (240, 174), "Bolts and welds of posts", ("guardrails-fixings",)),
        ),
    )  # fmt: skip


def _ladder() -> Drawing:
    return Drawing(
        "A fixed ladder: left from the front, right from the side, with hoops where the local rule wants them.",
        (
            box(36, 10, 7, 224), box(98, 10, 7, 224), *(box(43, y, 55, 5) for y in (70, 94, 118, 142, 190, 214)),
            run([(43, 166), (66, 170), (72, 164), (98, 168)], 4), ln(8, 66, 36, 66, BOLD), ln(105, 66, 136, 66, BOLD),
            arrow(114, 94, 114, 118, both=True), arrow(43, 130, 98, 130, both=True),
            stroke("M118 176C140 190 120 210 146 228", 5),
            wall(300, 6, 236, 1), box(262, 10, 7, 224), *(box(269, y, 31, 8) for y in (90, 160, 222)),
            *(bolt(292, y, 2.6) for y in (94, 164, 226)),
            *(ring(265.5, y, 3, "ink") for y in (72, 96, 120, 144, 168, 192, 216)), floor(172, 262, 66),
            ln(262, 66, 300, 66, FINE, "3 3"),
            stroke("M262 96c-60 -6 -60 8 0 0M262 128c-60 -6 -60 8 0 0M262 160c-60 -6 -60 8 0 0", 1.6),
            stroke("M218 96V160", 1.6),
            sheet(176, 190, 40, 26, 2, "key"), box(178, 20, 18, 26), stroke("M184 33l6 -6", 2), ring(187, 34, 2, "ink"),
        ),
        (
            Place((70, 168), (76, 158), "Rungs, treads, stiles", ("access-rungs", "access-wood-bare")),
            Place((292, 164), (284, 184), "Brackets and anchors", ("access-brackets",)),
            Place((114, 106), (132, 106), "Spacing and clear width", ("access-rung-measures",)),
            Place((40, 32), (20, 32), "Holds above the landing", ("access-rail-above",)),
            Place((220, 130), (198, 130), "Cage or climbing arrest", ("access-fall-arrest",)),
            Place((126, 190), (154, 186), "Climbing space free", ("access-climbing-space",)),
            Place((196, 208), (232, 212), "Way up locked, keys signed for", ("access-keys",)),
            Place((187, 28), (214, 22), "Light switch before the first hazard", ("access-light-switch",)),
        ),
    )  # fmt: skip


def _hatch() -> Drawing:
    return Drawing(
        "A hatch at the head of a ladder, open on its stay, with a rail round the opening and a gate.",
        (
            box(8, 150, 92, 12), box(196, 150, 116, 12),
            *(ln(x, 150, x, 162, FINE) for x in (*range(16, 100, 10), *range(204, 312, 10))),
            box(90, 145, 10, 5, "ink"), box(196, 145, 10, 5, "ink"),
            shape([(196, 150), (204, 146), (250, 36), (240, 32)]), ring(200, 150, 4, "ink"),
            ln(262, 150, 226, 92, 3), ring(262, 148, 3, "ink"), ring(226, 92, 3, "ink"), box(238, 26, 16, 8),
            stroke("M120 110V236M170 110V236", 4), *(ln(120, y, 170, y, 3) for y in (126, 146, 166, 186, 206, 226)),
            box(14, 70, 6, 80), box(76, 70, 6, 80), ln(17, 72, 79, 72, 4), ln(17, 110, 79, 110, 3),
            box(292, 70, 6, 80), ln(256, 72, 295, 72, 4), ln(268, 110, 295, 110, 3),
            stroke("M82 78L112 92V146L82 140z", 1.6), ln(82, 108, 112, 120, 2), ring(84, 82, 3, "ink"),
            ring(84, 136, 3, "ink"), stroke("M110 106l8 4", 3),
            stroke("M100 96A28 28 0 0 0 92 64", 1, dash="3 2"), arrow(94, 66, 86, 60), box(244, 178, 40, 56),
            ln(264, 178, 264, 234, FINE), ring(258, 206, 2.4, "ink"), says(264, 174, "fire door", 8),
        ),
        (
            Place((244, 50), (272, 44), "Opens, holds, closes", ("access-hatch-works",)),
            Place((47, 72), (46, 46), "Opening guarded", ("access-opening-guard",)),
            Place((95, 147), (60, 182), "Painted rim", ("access-rim-paint",)),
            Place((104, 110), (140, 92), "Gate closes by itself", ("access-gate",)),
            Place((252, 200), (224, 200), "Fire doors shut", ("access-fire-door",)),
        ),
    )  # fmt: skip


def _lighting() -> Drawing:
    return Drawing(
        "What is tried aloft: fittings, the light at the feet, emergency light, calls, cables and the switch.",
        (
            floor(8, 312, 216), ln(8, 16, 312, 16, BOLD), ln(90, 16, 90, 40),
            shape([(66, 54), (76, 40), (104, 40), (114, 54)]),
            stroke("M68 54a22 18 0 0 0 44 0M78 54v16M90 54v18M102 54v16"),
            stroke("M60 84l-14 40M90 86v40M120 84l14 40", FINE, dash="5 4"),
            box(60, 204, 60, 12, "paper", FINE), ring(90, 200, 9), says(90, 203, "lx", 8), box(160, 34, 56, 22),
            stroke("M166 45h34l-8 -6m8 6l-8 6", 1.4),
            ring(170, 62, 3), box(240, 64, 34, 60), stroke("M248 74h18M248 80h18M248 86h18", FINE), ring(257, 104, 6),
            run([(257, 124), (257, 150), (284, 150)], 2),
            stroke("M280 72c6 6 6 16 0 22M286 66c10 10 10 24 0 34", FINE), box(18, 100, 26, 38), ring(31, 114, 4),
            stroke("M31 114l6 -7", 2.4), sheet(14, 142, 34, 18, 1),
            stroke("M40 20C60 26 60 26 66 40", 3), stroke("M130 216c10 -26 40 -26 56 -4s40 10 52 4", 4),
            box(276, 166, 28, 24), ring(284, 178, 2.4, "ink"), ring(296, 178, 2.4, "ink"),
            ring(290, 171, 2.4, "ink"),
        ),
        (
            Place((90, 62), (136, 62), "Fittings come on", ("light-power-comms-fittings",)),
            Place((90, 200), (120, 186), "Light at the feet", ("light-power-comms-at-feet",)),
            Place((190, 45), (234, 40), "Emergency light", ("light-power-comms-emergency",)),
            Place((257, 104), (226, 104), "Calls both ways", ("light-power-comms-call",)),
            Place((172, 196), (190, 170), "Cables clear of path and lines", ("light-power-comms-cables",)),
            Place((290, 178), (258, 182), "Sockets and lamps guarded", ("light-power-comms-guards",)),
            Place((31, 150), (66, 150), "Label of the switch", ("light-power-comms-switch-label",)),
        ),
    )  # fmt: skip


def _sign() -> Drawing:
    return Drawing(
        "The papers that hang where the work is done.",
        (
            box(8, 14, 304, 156), sheet(20, 26, 60, 48, 4, "MAX LOAD"), sheet(92, 26, 56, 48, 3, "ACCESS"),
            sheet(160, 26, 60, 130, 11, "SCHEDULE"),
            sheet(20, 92, 60, 64, 6, "OPERATORS"), sheet(92, 92, 56, 64, 5, "RESCUE"),
            sheet(236, 26, 64, 56, 4, "REPORT"), sheet(236, 96, 64, 60, 4, "FLAME"),
            box(8, 196, 200, 10), *(sheet(18 + 38 * n, 202, 30, 28, 2, str(n + 7)) for n in range(5)),
            sheet(236, 186, 64, 46, 3, "TRAINING"),
        ),
        (
            Place((70, 54), (84, 84), "Capacities", ("signs-papers-capacities",)),
            Place((140, 56), (152, 84), "Who may go up", ("signs-papers-access-limits",)),
            Place((48, 214), (66, 184), "Rail cards: the latest issue", ("signs-papers-rail-cards",)),
            Place((212, 60), (228, 90), "Schedule dated and true", ("signs-papers-schedule",)),
            Place((30, 150), (38, 168), "Who may operate", ("signs-papers-training-list",)),
            Place((120, 150), (128, 170), "Rescue plan and numbers", ("signs-papers-rescue-plan",)),
            Place((296, 60), (306, 90), "The last report", ("signs-papers-last-report",)),
            Place((240, 150), (226, 168), "Flame-treatment papers", ("signs-papers-flame-papers",)),
            Place((240, 210), (222, 214), "Training papers", ("signs-papers-training-papers",)),
        ),
    )  # fmt: skip


def _anchor_point() -> Drawing:
    return Drawing(
        "Left: an anchor on steel and a horizontal lifeline with its indicator. Right: rescue kit and plan; below, "
        "the room to fall.",
        (
            ibeam(46, 24, 56, 46, 6), box(22, 70, 48, 8), bolt(30, 64, 3), bolt(62, 64, 3), box(42, 78, 8, 10),
            ring(46, 98, 11, "none", 5), ln(8, 24, 84, 24, BOLD),
            sheet(62, 92, 32, 30, 2, "DATE"), ln(57, 96, 62, 98, FINE), box(100, 60, 8, 60), box(204, 60, 8, 60),
            rope("M108 70C140 78 172 78 204 70", 4),
            box(178, 64, 20, 14), ln(184, 64, 184, 78, FINE), ln(190, 64, 190, 78, FINE), arrow(156, 56, 156, 74),
            ring(140, 78, 5, "none", 2.4), run([(140, 83), (146, 112)], 3),
            ring(146, 120, 7), stroke("M146 127v30l-8 26M146 157l8 26M146 134l-14 14M146 134l14 10", 2.4),
            floor(100, 214, 186),
            arrow(120, 186, 120, 232, both=True), box(180, 214, 50, 10), stroke("M106 70c-4 30 0 60 -8 84", 3),
            box(84, 152, 26, 18), says(97, 165, "no", 9),
            box(240, 40, 56, 60), stroke("M256 40v-8h24v8"), ln(240, 56, 296, 56, FINE),
            stroke("M262 72h12M268 66v12", 3), ring(288, 56, 3.4), sheet(240, 118, 56, 62, 5, "PLAN"),
            sheet(240, 196, 56, 34, 2, "NAMES"),
        ),
        (
            Place((80, 104), (88, 132), "Tag in date", ("fall-protection-tag-date",)),
            Place((46, 109), (46, 132), "Shape as it was", ("fall-protection-shape",)),
            Place((186, 70), (190, 48), "Fall indicator", ("fall-protection-indicator",)),
            Place((62, 64), (90, 50), "Bolts and base", ("fall-protection-fixings",)),
            Place((124, 74), (124, 52), "Line: tension, sag, strands", (
                "fall-protection-line-tension", "fall-protection-line-sag")),
            Place((120, 210), (144, 212), "Room to swing and fall", ("fall-protection-clearance",)),
            Place((262, 84), (226, 84), "Rescue kit sealed and whole", ("fall-protection-rescue-kit",)),
            Place((244, 150), (224, 150), "Plan posted", ("fall-protection-plan-posted",)),
            Place((292, 220), (308, 204), "People trained", ("fall-protection-people-trained",)),
            Place((88, 174), (70, 174), "Nothing hung on it", ("fall-protection-not-rigging",)),
        ),
    )  # fmt: skip


def _building_interface() -> Drawing:
    return Drawing(
        "Cut through the house above a batten at its out trim: pipes, ducts and roof above it, lamps and cloths "
        "beside it.",
        (
            run([(8, 34), (160, 10), (312, 34)], BOLD), run([(8, 42), (160, 18), (312, 42)], FINE),
            ln(8, 74, 312, 74, BOLD), *(ln(x, 74, x - 5, 80, FINE) for x in range(14, 312, 9)),
            ring(78, 98, 8), ln(78, 106, 78, 114, 3), stroke("M70 118h16l-8 -6z", 1.4, "ink"), box(140, 86, 60, 26),
            stroke("M140 86l60 26M200 86l-60 26", FINE),
            rope("M110 74V170", 4), rope("M240 74V170", 4), box(44, 168, 230, 9), arrow(78, 120, 78, 166, both=True),
            arrow(170, 114, 170, 166, both=True),
            stroke("M60 177c2 14 -4 30 0 58h90c-4 -22 4 -40 0 -58", 1.4, "paper"),
            stroke("M84 180c-2 20 4 34 0 54M110 180c2 22 -4 34 0 54", FINE),
            ln(220, 177, 220, 190), shape([(206, 190), (234, 190), (240, 214), (200, 214)]),
            stroke("M204 218l-8 10M220 218v12M236 218l8 10", FINE),
            stroke("M286 30c3 10 -4 16 0 28M292 32c2 8 -3 12 0 20", FINE),
            stroke("M24 66c2 -8 16 -8 20 0zM30 60l4 -6l4 6", 1.2, "paper"), box(250, 50, 30, 24),
            ln(250, 62, 280, 62, FINE),
            run([(300, 74), (300, 120), (288, 120), (288, 160)], 3), stroke("M284 160h8v12h-8z"),
        ),
        (
            Place((78, 144), (54, 140), "Room to sprinkler pipes", ("building-sprinkler-clearance",)),
            Place((170, 140), (194, 140), "Room to ducts, trays, lamps", ("building-duct-clearance",)),
            Place((288, 42), (304, 20), "Water from the roof", ("building-roof-leaks",)),
            Place((36, 64), (62, 52), "Birds and vermin", ("building-vermin",)),
            Place((214, 212), (184, 214), "Heat of lamps", ("building-lamp-heat",)),
            Place((60, 210), (36, 210), "Cloths hang free", ("building-curtains-foul",)),
            Place((258, 60), (230, 52), "Not a store", ("building-storage",)),
            Place((290, 130), (266, 122), "Building work near the lines", ("building-works",)),
        ),
    )  # fmt: skip


DRAWINGS = {
    PartKind.LOADING_BRIDGE: _loading_bridge,
    PartKind.GRID_DECK: _grid_deck,
    PartKind.WELL: _well,
    PartKind.GUARDRAIL: _guardrail,
    PartKind.LADDER: _ladder,
    PartKind.HATCH: _hatch,
    PartKind.LIGHTING: _lighting,
    PartKind.SIGN: _sign,
    PartKind.ANCHOR_POINT: _anchor_point,
    PartKind.BUILDING_INTERFACE: _building_interface,
}
