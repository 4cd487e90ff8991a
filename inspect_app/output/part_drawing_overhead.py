"""Drawings of what is overhead: head and loft blocks, their steel, the lift line, the batten and the whole set."""

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
    girder,
    hatched,
    ibeam,
    ln,
    nut,
    ring,
    rope,
    run,
    says,
    scribble,
    shape,
    sheave,
    stroke,
    wall,
    wire,
)


def _head_block() -> Drawing:
    top = "h6a5 5 0 0 0 10 0h4a5 5 0 0 0 10 0h4a9 9 0 0 0 18 0h4a5 5 0 0 0 10 0h4a5 5 0 0 0 10 0h6"
    low = "h-6a5 5 0 0 0 -10 0h-4a5 5 0 0 0 -10 0h-4a9 9 0 0 0 -18 0h-4a5 5 0 0 0 -10 0h-4a5 5 0 0 0 -10 0h-6"
    body = f"M213 62{top}v84{low}z"
    side = (
        ibeam(30, 158, 34, 40), ibeam(164, 158, 34, 40),
        sheave(97, 94, 48),
        shape([(60, 150), (84, 84), (110, 84), (134, 150)]), ring(97, 94, 5, "ink"),
        box(84, 99, 26, 8), ring(88, 103, 1.6, "ink"), ring(106, 103, 1.6, "ink"),
        box(8, 150, 178, 8),
        rope("M2 50H97a44 44 0 0 1 44 44V238"), rope("M53 100V238", 7),
        stroke("M53 102a44 44 0 0 1 34 -50", 1, dash="3 3"),
        ring(62, 40, 4, "paper", BOLD), ln(62, 44, 70, 58, FINE),
        nut(24, 146, 10, 6), nut(172, 146, 10, 6),
        ln(28, 144, 34, 150, BOLD), ln(34, 151, 34, 163, BOLD),
        scribble(90, 122, 222), ln(84, 224, 130, 224, FINE),
        box(112, 136, 18, 11), says(121, 145, "12", 8),
    )  # fmt: skip
    cut = (
        stroke(body, 1.5, "paper"), hatched(213, 82, 90, 12), hatched(213, 114, 90, 12), ln(213, 62, 213, 146),
        ln(303, 62, 303, 146), box(203, 70, 5, 88), box(308, 70, 5, 88), box(194, 99, 126, 10, "ink"),
        box(190, 94, 6, 20), ring(224, 61, 2.6, "ink"), ring(238, 61, 2.6, "ink"), ring(256, 60, 6),
        ring(278, 61, 2.6, "ink"), ring(292, 61, 2.6, "ink"),
        box(194, 158, 24, 7), box(298, 158, 20, 7), arrow(240, 134, 276, 134, both=True),
    )  # fmt: skip
    return Drawing(
        "Left: from the side, standing on two head beams. Right: cut through the sheave, with the grooves of four lift "
        "lines and, in the middle, of the hand line.",
        side + cut,
        (
            Place((256, 68), (256, 40), "Grooves", (
                "head-block-groove", "head-block-groove-radius", "head-block-tread")),
            Place((292, 60), (300, 40), "Each line in its own groove", (
                "head-block-lines-in-groove", "head-block-turns", "head-block-fleet-angle")),
            Place((66, 147), (68, 196), "Side plates and their welds", ("head-block-plates",)),
            Place((97, 103), (120, 24), "Shaft and its keeper", ("head-block-shaft-keeper",)),
            Place((172, 146), (180, 118), "Bolts and clips to the beam", (
                "head-block-mounting", "head-block-bolt-torque")),
            Place((34, 156), (66, 174), "Witness mark", ("head-block-witness-marks", "head-block-row-by-eye")),
            Place((62, 40), (36, 24), "Rope guard", ("head-block-guards",)),
            Place((268, 134), (262, 186), "Play, sideways and up and down", (
                "head-block-play", "head-block-play-measured", "head-block-sound")),
            Place((106, 222), (106, 198), "What lies below", ("head-block-debris",)),
            Place((128, 138), (158, 100), "Number", ("head-block-label",)),
        ),
    )  # fmt: skip


def _loft_block() -> Drawing:
    side = (
        channel(56, 168, 30, 42, -1), channel(140, 168, 30, 42, 1),
        sheave(108, 104, 40), box(18, 160, 160, 8),
        shape([(82, 160), (99, 95), (117, 95), (134, 160)]), ring(108, 104, 4.5, "ink"),
        rope("M206 67H108a37 37 0 0 0 -37 37V238"),
        ring(72, 62, 3.6, "paper", BOLD), ln(75, 65, 84, 76, FINE),
        run([(34, 172), (24, 172), (24, 156), (40, 156)], BOLD), nut(32, 152, 10, 6),
        run([(160, 172), (172, 172), (172, 156), (156, 156)], BOLD), nut(164, 152, 10, 6),
        ln(150, 160, 150, 180, BOLD), ln(146, 160, 154, 160, BOLD),
        box(98, 142, 22, 11), says(109, 151, "12-3", 8),
    )  # fmt: skip
    cut = (
        box(226, 64, 5, 104), box(281, 64, 5, 104),
        stroke("M236 64h13a7 7 0 0 0 14 0h13v80h-13a7 7 0 0 0 -14 0h-13z", 1.5, "paper"),
        hatched(236, 84, 40, 40), box(218, 101, 76, 7, "ink"), box(212, 97, 6, 15), box(294, 97, 6, 15),
        ring(256, 64, 4), ring(256, 58, 3, "paper", BOLD), ln(226, 58, 286, 58, BOLD), ring(256, 64, 4),
        box(214, 168, 90, 7), arrow(240, 132, 272, 132, both=True),
    )  # fmt: skip
    return Drawing(
        "Left: from the side, standing on a pair of channels with the well between them; the line comes from the head "
        "block and goes down. Right: cut through the sheave.",
        side + cut,
        (
            Place((256, 70), (308, 66), "Groove", (
                "loft-block-groove", "loft-block-groove-radius", "loft-block-tread")),
            Place((256, 132), (256, 196), "Play, sideways and up and down", (
                "loft-block-side-play", "loft-block-play-measured")),
            Place((138, 78), (150, 40), "The sheave turns with its line", ("loft-block-turns", "loft-block-sound")),
            Place((71, 196), (96, 214), "Path of the line", (
                "loft-block-line-path", "loft-block-grease")),
            Place((32, 152), (14, 134), "Clips and bolts", ("loft-block-mounting", "loft-block-mounting-hand")),
            Place((150, 176), (192, 196), "Mark on the channel", ("loft-block-witness-mark", "loft-block-mark-offset")),
            Place((231, 120), (204, 134), "Cheeks", ("loft-block-cheeks",)),
            Place((72, 62), (46, 44), "Keeper rod over the line", ("loft-block-line-path",)),
            Place((120, 148), (160, 126), "Number", ("loft-block-label",)),
        ),
    )  # fmt: skip


def _mule_block() -> Drawing:
    return Drawing(
        "From above: the block turns the lines from one direction into another. It stands on steel of its own, with a "
        "brace against their joint pull.",
        (
            girder(20, 178, 280, 26), box(60, 150, 150, 28), run([(206, 164), (268, 178)], 5), box(262, 172, 14, 8),
            bolt(74, 164), bolt(196, 164),
            sheave(134, 96, 56, 5), box(104, 72, 60, 78), ring(134, 96, 6, "ink"), box(120, 104, 28, 8),
            ring(124, 108, 1.5, "ink"), ring(144, 108, 1.5, "ink"), rope("M4 45H134a51 51 0 0 1 51 51V148"),
            rope("M185 138V236"), rope("M196 236V90a56 56 0 0 0 -56 -56H4"),
            shape([(96, 28), (104, 22), (112, 28), (112, 34), (96, 34)]), ln(104, 34, 110, 60, FINE),
            ln(185, 96, 214, 60, FINE, "4 3"), box(62, 121, 36, 14), says(80, 131, "MB 12", 8),
        ),
        (
            Place((74, 164), (34, 150), "Seat and its bolts", ("mule-block-seat", "mule-block-under-load")),
            Place((240, 172), (262, 146), "Brace, and the steel it stands on", ("mule-block-fixing",)),
            Place((190, 120), (224, 118), "Each line in its own groove", (
                "mule-block-lines-apart", "mule-block-groove")),
            Place((185, 70), (236, 70), "Angle of the turn", ("mule-block-angle",)),
            Place((104, 26), (104, 10), "Rope guard", ("mule-block-guard",)),
            Place((134, 108), (150, 134), "Shaft, keeper, plates", ("mule-block-plates",)),
            Place((88, 70), (62, 82), "Sheave", ("mule-block-turns", "mule-block-play", "mule-block-sound")),
            Place((63, 124), (34, 118), "Number", ("mule-block-label",)),
        ),
    )  # fmt: skip


def _head_beam() -> Drawing:
    return Drawing(
        "Left: the head beam from the side, at its end on a column. Right: cut, with a head block's base clipped to "
        "it.",
        (
            box(8, 20, 22, 212), ln(14, 20, 14, 232, FINE), ln(24, 20, 24, 232, FINE),
            box(30, 70, 8, 74), girder(38, 74, 162, 66, 7), bolt(34, 84, 3), bolt(34, 107, 3), bolt(34, 130, 3),
            box(96, 81, 6, 52), run([(200, 74), (206, 88), (196, 104), (206, 120), (200, 140)], FINE),
            ln(38, 152, 200, 152, FINE, "6 3"), arrow(150, 141, 150, 151, both=True),
            box(50, 30, 12, 44), ln(62, 34, 96, 34, FINE), run([(56, 30), (90, 8)], 4), says(112, 20, "bracing", 8),
            ring(130, 107, 6), stroke("M176 140v22", 1.5), box(164, 162, 24, 26), says(176, 178, "?", 12),
            ibeam(264, 96, 66, 96, 7), box(222, 88, 86, 8), run([(233, 102), (218, 102), (218, 84), (236, 84)], BOLD),
            nut(226, 80, 10, 6), run([(295, 102), (312, 102), (312, 84), (292, 84)], BOLD), nut(303, 80, 10, 6),
            shape([(240, 88), (254, 50), (274, 50), (288, 88)]), ring(264, 44, 18, "none"), ring(264, 44, 3, "ink"),
            stroke("M238 104l-8 0M240 107l-8 0", FINE), box(280, 138, 30, 20), says(295, 147, "plate", 7),
            ln(284, 152, 306, 152, FINE),
        ),
        (
            Place((34, 107), (60, 122), "End connection and its bolts", ("head-beam-connections",)),
            Place((99, 110), (82, 100), "Welds and stiffeners", ("head-beam-welds",)),
            Place((150, 148), (128, 172), "Straight, against a string", (
                "head-beam-straight", "head-beam-string-line")),
            Place((130, 107), (158, 112), "Holes and cuts made on site", ("head-beam-cuts",)),
            Place((176, 166), (150, 196), "What was hung on it later", ("head-beam-added-loads",)),
            Place((234, 106), (212, 128), "Slip marks beside the clips", ("head-beam-slip-marks",)),
            Place((250, 100), (248, 122), "Flange under the clips", ("head-beam-flange",)),
            Place((60, 40), (34, 14), "Side bracing, and hold-down", ("head-beam-bracing",)),
            Place((264, 176), (292, 182), "Rust, water marks", ("head-beam-rust",)),
            Place((309, 140), (309, 118), "Capacity plate", ("head-beam-drawing",)),
        ),
    )  # fmt: skip


def _loft_beam() -> Drawing:
    return Drawing(
        "Cut across a loft well: a pair of channels hangs on rods from the roof steel; the lines go down between them.",
        (
            ibeam(86, 12, 46, 34), ibeam(232, 12, 46, 34), ln(10, 12, 310, 12, BOLD),
            stroke("M86 46V176", 3.6), stroke("M232 46V176", 3.6), nut(86, 50, 12, 6), nut(232, 50, 12, 6),
            box(56, 160, 60, 6), box(202, 160, 60, 6),
            channel(116, 104, -44, 56, 1), channel(202, 104, 44, 56, -1),
            box(116, 118, 86, 12), nut(110, 124, 10, 6, False), nut(208, 124, 10, 6, False),
            nut(86, 170, 12, 6), nut(86, 178, 12, 6), nut(232, 170, 12, 6), nut(232, 178, 12, 6),
            sheave(159, 64, 24), box(124, 97, 90, 7), shape([(142, 97), (152, 60), (166, 60), (176, 97)]),
            ring(159, 64, 3.5, "ink"), rope("M320 42H159a22 22 0 0 0 -22 22V236"),
            arrow(117, 150, 201, 150, both=True), stroke("M116 134l5 3l-5 3l4 2l-4 3", FINE),
            stroke("M282 18c3 12 -4 22 0 34M288 18c2 8 -3 12 0 20", FINE), ln(262, 160, 262, 206),
            box(246, 206, 32, 22),
            says(262, 221, "?", 12), stroke("M206 110l8 6m-8 2l10 6", FINE),
        ),
        (
            Place((180, 150), (180, 180), "Gap of the well, channels parallel", (
                "loft-steel-parallel", "loft-steel-gap-measured")),
            Place((110, 124), (60, 112), "Separators and their bolts", ("loft-steel-separators",)),
            Place((86, 80), (56, 74), "Hanger rods", ("loft-steel-rods",)),
            Place((86, 174), (56, 192), "Nuts at the ends of the rods", ("loft-steel-rod-nuts",)),
            Place((118, 139), (104, 208), "Edge sawn by a rope", ("loft-steel-rope-sawn",)),
            Place((210, 116), (284, 122), "Joints and welds", ("loft-steel-joints",)),
            Place((284, 36), (304, 62), "Water from the roof", ("loft-steel-leaks",)),
            Place((262, 186), (292, 182), "What was hung on it later", ("loft-steel-added-loads",)),
            Place((112, 20), (130, 36), "Fire protection of the steel", ("loft-steel-fireproofing",)),
            Place((180, 12), (196, 30), "Load from the roof", ("loft-steel-roof-load",)),
        ),
    )  # fmt: skip


def _lift_line() -> Drawing:
    wires = "M212 30c6 -2 10 -7 13 -13M216 34c8 0 13 -4 17 -9M206 34c2 6 7 10 13 11"
    return Drawing(
        "Left: where the line runs, from the arbor over head and loft block to the batten. Right, larger: what is "
        "looked for along it.",
        (
            sheave(34, 42, 16), sheave(122, 42, 16), rope("M20 232V42a14 14 0 0 1 14 -14H122a14 14 0 0 1 14 14V190", 4),
            box(8, 206, 24, 30), ring(136, 196, 6), ln(110, 206, 160, 206, FINE), ring(136, 202, 8),
            box(92, 84, 30, 12), hatched(92, 84, 30, 12), stroke("M122 88l10 0", FINE),
            ln(172, 8, 172, 232, FINE, "2 4"),
            wire(190, 308, 34), stroke(wires, 1.2),
            rope("M190 84h44c18 0 18 -24 4 -24s-10 24 8 24h62", 8),
            wire(190, 222, 126), wire(278, 308, 126),
            stroke("M222 121c14 -14 42 -14 56 0M222 131c14 14 42 14 56 0M222 124c20 -7 36 -7 56 0"
                   "M222 128c20 7 36 7 56 0"
                   "M222 126h56", 1.3),
            wire(190, 224, 172), wire(270, 308, 172),
            stroke("M224 167c6 4 8 4 14 4h18c6 0 8 0 14 -4M224 177c6 -4 8 -4 14 -3h18"
                   "c6 0 8 0 14 3", 1.5),
            wire(190, 308, 216), scribble(206, 246, 208), scribble(206, 246, 226),
            ln(262, 205, 262, 227), ln(254, 205, 270, 205), ln(254, 227, 270, 227),
        ),
        (
            Place((136, 42), (154, 26), "Where the line meets a block", ("lift-line-tangent",)),
            Place((136, 132), (154, 140), "Whole running length", (
                "lift-line-whole-run", "lift-line-rag", "lift-line-rag-low", "lift-line-no-knots")),
            Place((20, 120), (44, 132), "Upper run above the arbor", ("lift-line-shape-bridge",)),
            Place((80, 28), (80, 52), "Tension, against its sisters", (
                "lift-line-tension", "lift-line-by-eye-deck", "lift-line-sisters")),
            Place((128, 90), (104, 112), "Rubbing on anything it passes", (
                "lift-line-rubbing", "lift-line-rub-marks")),
            Place((220, 30), (254, 16), "Broken wires", ("lift-line-broken-wires",)),
            Place((244, 66), (270, 60), "Kink", ("lift-line-shape",)),
            Place((250, 114), (292, 104), "Birdcage: strands stand open", ("lift-line-shape",)),
            Place((247, 172), (292, 152), "Flat, crushed, outer wires worn", (
                "lift-line-outer-wires", "lift-line-outer-wire-wear", "lift-line-shape")),
            Place((226, 216), (186, 196), "Rust, red dust, marks of heat", ("lift-line-rust", "lift-line-heat")),
            Place((262, 216), (290, 196), "Diameter", ("lift-line-diameter",)),
        ),
    )  # fmt: skip


def _batten() -> Drawing:
    return Drawing(
        "Above: the batten on its lines, seen from the deck. Below, larger: a splice of two pipes, cut open.",
        (
            floor(8, 312, 16).replace("l-5 6", "l5 -6"),
            *(rope(f"M{x} 16V72", 4) for x in (36, 118, 202, 284)),
            *(box(x - 6, 70, 12, 16) for x in (36, 118, 202, 284)),
            box(12, 74, 296, 8), *(box(x - 6, 70, 12, 4) for x in (36, 118, 202, 284)),
            *(box(x - 6, 82, 12, 4) for x in (36, 118, 202, 284)), box(156, 73, 8, 10), ln(160, 62, 160, 73, FINE),
            box(306, 73, 6, 10, "ink"), box(8, 73, 6, 10, "ink"),
            box(60, 86, 44, 15), says(82, 97, "600 kg", 9), ln(240, 82, 240, 92, FINE),
            stroke("M232 86c2 6 12 6 14 0M238 90v8", 1.2), stroke("M12 112C110 118 210 118 308 112", FINE, dash="5 3"),
            arrow(222, 30, 222, 16), ln(222, 30, 222, 68, FINE), arrow(222, 60, 222, 73),
            box(30, 156, 126, 48), box(164, 156, 126, 48), hatched(30, 156, 126, 8), hatched(164, 156, 126, 8),
            hatched(30, 196, 126, 8), hatched(164, 196, 126, 8), box(92, 164, 136, 32), hatched(92, 164, 136, 6, 5),
            hatched(92, 190, 136, 6, 5), box(112, 148, 8, 64), box(200, 148, 8, 64), nut(116, 150, 14, 7),
            nut(116, 210, 14, 7),
            nut(204, 150, 14, 7), nut(204, 210, 14, 7), stroke("M262 156c4 6 12 6 16 0", BOLD),
        ),
        (
            Place((110, 116), (110, 134), "Straight and level", (
                "batten-by-eye-deck", "batten-straight")),
            Place((254, 115), (254, 134), "Sag between lines", ("batten-sag",)),
            Place((160, 76), (160, 48), "Where pipes are joined", ("batten-splice-hand",)),
            Place((160, 180), (160, 226), "Splice: inner sleeve, bolts on both sides, no gap", ("batten-splice",)),
            Place((270, 160), (300, 146), "Dents, cuts, holes, welds", ("batten-damage", "batten-rust")),
            Place((309, 78), (300, 50), "End caps and number", ("batten-ends",)),
            Place((62, 94), (36, 104), "Capacity and middle mark", ("batten-label",)),
            Place((242, 94), (270, 98), "Leftovers", ("batten-leftovers",)),
            Place((118, 78), (92, 54), "Clamps firm when rocked", ("batten-rock",)),
            Place((222, 40), (246, 44), "Room above, and beside the neighbours", (
                "batten-clear-above", "batten-clear-neighbours")),
        ),
    )  # fmt: skip


def _set_travel() -> Drawing:
    return Drawing(
        "One counterweight set from the side of the stage: the batten goes in and out, the arbor the other way.",
        (
            ln(8, 44, 312, 44, BOLD), floor(8, 312, 228), wall(306, 44, 228, 1),
            *(sheave(x, 34, 9, 2) for x in (34, 100, 166)), sheave(264, 30, 15),
            rope("M25 34V152", 3), rope("M91 34V152", 3), rope("M157 34V152", 3),
            run([(34, 24), (264, 16)], 1.2), run([(100, 24), (264, 18)], 1.2), run([(166, 24), (264, 20)], 1.2),
            box(10, 150, 164, 7), rope("M278 30V108", 4), rope("M250 30V196", 5),
            stroke("M278 158V214a14 14 0 0 1 -28 0V196", 4), sheave(264, 212, 14),
            box(268, 108, 20, 50), *(ln(268, y, 288, y, FINE) for y in (122, 130, 138, 146)),
            ln(296, 50, 296, 226, BOLD), box(238, 184, 22, 14), stroke("M244 184v-20", 3), box(222, 198, 40, 8),
            stroke("M240 206v22M228 206v22"), ring(206, 170, 5),
            stroke("M206 175v26l-8 26M206 201l8 26M206 182l32 -18"),
            arrow(60, 172, 60, 200, both=True), arrow(234, 96, 234, 140, both=True), ln(182, 60, 182, 150, FINE, "4 3"),
            ring(214, 22, 5), stroke("M214 27v12", 1.4), stroke("M222 18c4 3 4 7 0 10M226 15c6 5 6 11 0 16", FINE),
        ),
        (
            Place((250, 150), (226, 154), "Pull on the hand line", (
                "set-travel-start-force", "set-travel-even-force", "set-travel-vibration",
                "set-travel-force-measured", "set-travel-travel-time")),
            Place((206, 168), (184, 186), "Sound, heard from the rail", ("set-travel-sound-rail",)),
            Place((214, 22), (206, 60), "Sound, heard by a second person on the grid", (
                "set-travel-sound-second-ear",)),
            Place((249, 190), (272, 180), "The lock, with the arbor low, midway, high", (
                "set-travel-lock-low", "set-travel-lock-mid", "set-travel-lock-high", "set-travel-drift")),
            Place((120, 153), (120, 174), "Batten level", ("set-travel-level",)),
            Place((182, 110), (200, 108), "Neighbours stay still", ("set-travel-neighbours",)),
            Place((60, 186), (84, 196), "Path clear", ("set-travel-path-clear",)),
            Place((36, 153), (36, 176), "What hangs on it", ("set-travel-load-known",)),
        ),
    )  # fmt: skip


DRAWINGS = {
    PartKind.HEAD_BEAM: _head_beam,
    PartKind.HEAD_BLOCK: _head_block,
    PartKind.LOFT_BLOCK: _loft_block,
    PartKind.MULE_BLOCK: _mule_block,
    PartKind.LOFT_BEAM: _loft_beam,
    PartKind.LIFT_LINE: _lift_line,
    PartKind.BATTEN: _batten,
    PartKind.SET_TRAVEL: _set_travel,
}
