"""Drawings of what runs by power or by fire: hoist, drum, brake, limits, controls, fire curtain, smoke vent."""

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
    scribble,
    shape,
    sheave,
    sheet,
    stroke,
    wall,
)


def _hoist() -> Drawing:
    return Drawing(
        "A hoist from the side: motor, brake and gearbox on one frame; the drum lies behind the gearbox.",
        (
            floor(8, 312, 222), box(20, 196, 280, 14), bolt(36, 192, 3), bolt(284, 192, 3), bolt(160, 192, 3),
            box(30, 210, 14, 12), box(276, 210, 14, 12),
            box(40, 96, 100, 72), *(ln(x, 96, x, 168, FINE) for x in range(50, 140, 10)), box(28, 104, 12, 56),
            *(ln(28, y, 40, y, FINE) for y in range(110, 160, 7)),
            box(70, 78, 36, 18), bolt(76, 87, 2.2), bolt(100, 87, 2.2), box(50, 168, 16, 28), box(114, 168, 16, 28),
            box(140, 108, 26, 48), ln(153, 108, 153, 156, FINE), run([(153, 108), (153, 88), (166, 80)], 3),
            shape([(166, 92), (188, 76), (262, 76), (280, 92), (280, 180), (166, 180)]), box(176, 180, 24, 16),
            box(246, 180, 24, 16), ring(224, 128, 26), ring(224, 128, 18, "none", FINE, "3 2"),
            ring(224, 128, 5, "ink"),
            ring(180, 166, 5), ln(175, 166, 185, 166, FINE), nut(226, 72, 12, 7), sheet(240, 152, 34, 22, 2),
            rope("M250 128V14", 5), stroke("M260 196c4 6 2 10 0 14", 1.2), stroke("M256 182l4 10", 1.2),
            shape([(198, 92), (250, 92), (254, 100), (194, 100)], "paper", 1), box(110, 14, 60, 24),
            says(140, 30, "1204 h", 10),
            stroke("M60 62c4 -6 -4 -10 0 -16M72 62c4 -6 -4 -10 0 -16M84 62c4 -6 -4 -10 0 -16", FINE),
            scribble(28, 44, 166),
        ),
        (
            Place((36, 192), (18, 178), "Mounting bolts and frame", ("hoist-fixings",)),
            Place((224, 96), (202, 56), "Guards over what moves", ("hoist-guards",)),
            Place((180, 166), (152, 174), "Oil at its mark", ("hoist-oil-level",)),
            Place((262, 202), (300, 182), "Leaks", ("hoist-leaks",)),
            Place((226, 72), (228, 48), "Lubrication, dated", ("hoist-grease-date",)),
            Place((224, 128), (292, 120), "Sound of gears and motor", ("hoist-sound",)),
            Place((72, 58), (100, 56), "Heat of the motor", ("hoist-heat",)),
            Place((34, 130), (14, 130), "Dust and vermin", ("hoist-dust-vermin",)),
            Place((76, 87), (46, 82), "Covers and lids", ("hoist-covers",)),
            Place((262, 160), (298, 150), "Plate", ("hoist-plate",)),
            Place((120, 26), (92, 24), "Hours and cycles", ("hoist-use-count",)),
        ),
    )  # fmt: skip


def _drum() -> Drawing:
    grooves = "".join(f"M{96 + 9 * n} 62a4.5 4.5 0 0 1 9 0v84a4.5 4.5 0 0 1 -9 0z" for n in range(13))
    ropes = "".join(rope(f"M{100.5 + 9 * n} 60V148", 7) for n in range(7))
    return Drawing(
        "A drum with its rope, on a shaft between bearings, and a coupling to the gearbox on the left.",
        (
            floor(8, 312, 226), box(8, 96, 30, 20), box(38, 84, 14, 44), box(54, 84, 14, 44), bolt(45, 92, 2.4),
            bolt(45, 120, 2.4), bolt(61, 92, 2.4), bolt(61, 120, 2.4), box(68, 98, 232, 14),
            box(252, 74, 34, 64), box(244, 138, 50, 10), bolt(250, 134, 2.6), bolt(288, 134, 2.6),
            stroke("M92 56V152M216 56V152", 5), stroke(grooves, 1, "paper"), ropes,
            rope("M162 148V230", 7), box(196, 66, 18, 12), bolt(205, 72, 3), box(196, 84, 18, 12), bolt(205, 90, 3),
            box(94, 30, 120, 9), box(98, 24, 6, 20), box(204, 24, 6, 20), ln(101, 44, 101, 56, 2),
            ln(207, 44, 207, 56, 2),
            box(74, 96, 14, 6, "ink"), box(256, 60, 26, 14, "paper", FINE),
            stroke("M270 62c4 4 4 8 0 10M276 58c6 6 6 12 0 18", FINE), ln(184, 186, 150, 200, 4),
            ring(184, 186, 4, "ink"), ring(150, 200, 6), ln(184, 186, 206, 186, 2), box(206, 178, 20, 16),
            arrow(84, 160, 94, 160, both=True), ln(268, 150, 268, 226, 4), stroke("M156 208l12 -4M156 214l12 -4", 1.1),
        ),
        (
            Place((132, 100), (132, 168), "Rope lies turn by turn", ("drum-lay",)),
            Place((159, 100), (190, 160), "Turns left at the lowest point", ("drum-dead-turns",)),
            Place((205, 72), (236, 58), "Clamps of the rope's end", ("drum-end-clamps",)),
            Place((190, 130), (232, 124), "Grooves", ("drum-grooves", "drum-groove-radius")),
            Place((154, 34), (154, 14), "Keepers and pressure rollers", ("drum-keeper",)),
            Place((160, 196), (128, 206), "Arm that feels slack rope", ("drum-slack-arm",)),
            Place((45, 106), (26, 74), "Couplings", ("drum-couplings",)),
            Place((81, 99), (76, 70), "Keys and set screws", ("drum-keys",)),
            Place((269, 100), (302, 70), "Bearings", ("drum-bearings",)),
            Place((234, 105), (302, 118), "Shaft runs true", ("drum-shaft",)),
            Place((162, 220), (196, 214), "The rope itself", (
                "drum-rope-form", "drum-rope-wires", "drum-rope-diameter")),
        ),
    )  # fmt: skip


def _brake() -> Drawing:
    return Drawing(
        "A spring-applied disc brake, cut: springs press the disc with its linings against the end plate; the "
        "magnet draws "
        "the pressure plate back over the air gap to let it go.",
        (
            box(40, 24, 70, 190), *(ln(40, y, 110, y, FINE) for y in range(36, 210, 12)), says(75, 16, "motor", 9),
            box(20, 112, 282, 14),
            hatched(110, 40, 14, 158, 6), box(128, 52, 8, 134, "ink"), box(136, 48, 14, 142),
            box(150, 52, 8, 134, "ink"), box(136, 104, 14, 30, "ink"), box(163, 44, 16, 150),
            box(187, 40, 70, 158), box(187, 112, 70, 14, "paper", FINE), box(200, 58, 26, 34, "paper", FINE),
            stroke("M200 58l26 34M226 58l-26 34", FINE), box(200, 146, 26, 34, "paper", FINE),
            stroke("M200 146l26 34M226 146l-26 34", FINE),
            stroke("M187 50l6 -5l5 10l5 -10l5 10l5 -10l5 5", 1.4),
            stroke("M187 190l6 -5l5 10l5 -10l5 10l5 -10l5 5", 1.4), box(20, 112, 282, 14),
            ln(20, 119, 302, 119, FINE, "6 3"),
            arrow(172, 212, 179, 212), arrow(194, 212, 187, 212), ln(179, 196, 179, 220, FINE),
            ln(187, 200, 187, 220, FINE), stroke("M232 40V16l30 -8", 5), ring(232, 34, 3), box(254, 26, 12, 12),
            run([(246, 14), (258, 26)], 1),
            arrow(286, 80, 286, 106), stroke("M278 98a16 10 0 1 0 16 -16", 1.4), scribble(112, 180, 236),
            ln(104, 238, 200, 238, FINE), stroke("M154 200c4 10 2 16 0 22", 1.2),
        ),
        (
            Place((294, 86), (306, 66), "Stops promptly, the same both ways", ("hoist-brake-stops",)),
            Place((143, 150), (82, 150), "Holds with the drive off", ("hoist-brake-holds", "hoist-second-brake")),
            Place((298, 119), (304, 144), "Creep", ("hoist-creep",)),
            Place((183, 206), (214, 222), "Air gap", ("hoist-brake-gap",)),
            Place((154, 80), (144, 24), "Linings", ("hoist-brake-gap",)),
            Place((156, 214), (132, 214), "Dry: no oil, dust, rust", ("hoist-brake-clean",)),
            Place((250, 12), (276, 20), "Hand release back, pinned, sealed", ("hoist-hand-release",)),
        ),
    )  # fmt: skip


def _limit_switch() -> Drawing:
    def switch(x: float, y: float, name: str) -> str:
        return (
            box(x, y, 44, 24) + says(x + 22, y + 15, name, 8) + ln(x, y + 12, x - 16, y + 4, 3) + ring(x - 18, y + 3, 4)
        )

    return Drawing(
        "Left: the end of travel, with the limits one behind the other. Right: slack-rope arm and load cell on the "
        "rope.",
        (
            wall(40, 6, 234, -1), box(46, 6, 8, 228), box(54, 148, 30, 44), says(69, 174, "load", 9),
            shape([(84, 158), (94, 164), (94, 178), (84, 184)], "ink"), arrow(69, 142, 69, 116),
            switch(120, 108, "soft"), switch(120, 66, "hard"), switch(120, 22, "last"),
            run([(164, 78), (184, 78), (184, 210)], 1.4), run([(164, 34), (194, 34), (194, 210)], 1.4),
            run([(164, 120), (174, 120), (174, 210)], 1.4), box(162, 210, 44, 20), says(184, 223, "drive", 8),
            sheave(262, 56, 26), rope("M238 150V56a24 24 0 0 1 48 0V232", 5), box(226, 150, 24, 36),
            says(238, 171, "kg", 9), rope("M238 186V232", 5), sheet(206, 192, 26, 20, 1, "0.0"),
            ln(300, 110, 276, 128, 4), ring(276, 130, 7), box(296, 100, 16, 22),
            stroke("M120 84c-10 6 -10 12 0 16", 3, dash="3 2"), stroke("M97 70l4 3M97 26l4 3M97 112l4 3", BOLD),
        ),
        (
            Place((146, 131), (150, 148), "Soft limits", ("limits-soft",)),
            Place((124, 68), (142, 56), "Hard limits, at creep speed", ("limits-hard",)),
            Place((194, 60), (214, 60), "The last limit, by another circuit", ("limits-ultimate",)),
            Place((290, 118), (304, 142), "Slack-rope device", ("limits-slack-rope",)),
            Place((238, 176), (264, 182), "Load cell: zero, and a known mass", (
                "limits-cell-zero", "limits-cell-mass")),
            Place((102, 69), (84, 52), "Arms and cams: fixed, straight, marked", ("limits-arms-cams",)),
            Place((113, 92), (88, 94), "Nothing bridged or wedged", ("limits-no-bridge",)),
        ),
    )  # fmt: skip


def _control() -> Drawing:
    return Drawing(
        "Left: the isolator of the machine. Right: the control with emergency stop, run control held by hand, key "
        "and display.",
        (
            box(16, 60, 74, 96), ring(53, 104, 22), box(48, 80, 10, 48), padlock(70, 120),
            says(53, 74, "ISOLATOR", 8), run([(53, 156), (53, 214), (130, 214)], 5), box(122, 206, 20, 16),
            floor(8, 312, 232),
            box(150, 30, 150, 150), box(166, 44, 70, 26), says(201, 61, "12   4.20 m", 9), ring(270, 62, 20),
            ring(270, 62, 14, "ink"), says(270, 96, "STOP", 8),
            box(166, 84, 34, 14), says(183, 94, "SET 12", 8), ring(186, 136, 18), stroke("M186 136l14 -30", 6),
            ring(201, 104, 6), says(186, 168, "hold to run", 8), ring(240, 136, 9), ln(240, 130, 240, 142, 3),
            sheet(258, 112, 34, 40, 3, "LOG"),
            run([(225, 180), (225, 214), (142, 214)], 5), stroke("M102 20c10 -12 32 -12 42 0c-10 12 -32 12 -42 0z"),
            ring(123, 20, 5, "ink"), arrow(96, 22, 40, 40),
            run([(290, 180), (290, 200), (306, 200)], 2), says(286, 214, "group", 8),
        ),
        (
            Place((196, 116), (218, 116), "Run control: let go, it stops", ("controls-dead-man",)),
            Place((167, 91), (140, 92), "Labels the same as at the set", ("controls-labels",)),
            Place((53, 104), (28, 134), "Isolator cuts and locks", ("controls-isolator",)),
            Place((100, 214), (100, 190), "Cables and plugs", ("controls-cables",)),
            Place((288, 140), (308, 130), "Log of changed settings", ("controls-change-log",)),
            Place((108, 16), (84, 12), "The travel is seen", ("controls-sight",)),
            Place((240, 140), (240, 164), "Key and codes", ("controls-user-keys",)),
            Place((190, 46), (190, 20), "Display true", ("controls-readout",)),
            Place((270, 50), (270, 20), "Emergency stop, and its reset", ("limits-estop", "limits-estop-reset")),
            Place((290, 196), (262, 198), "One stops, all of the group stop", ("limits-group-stop",)),
        ),
    )  # fmt: skip


def _fire_curtain() -> Drawing:
    return Drawing(
        "The fire safety curtain from the stage, half down, with its guides, lines, arbor and release.",
        (
            floor(8, 312, 222), *(sheave(x, 20, 9, 2) for x in (90, 150, 210)), run([(90, 11), (262, 11)], 1.2),
            sheave(272, 22, 13), *(rope(f"M{x + 9} 20V60", 4) for x in (81, 141, 201)),
            rope("M284 22V104", 4), box(274, 104, 20, 44), *(ln(274, y, 294, y, FINE) for y in (114, 124, 134)),
            box(66, 60, 180, 92), *(ln(66, y, 246, y, FINE) for y in (82, 104, 126)),
            stroke("M200 88l8 6l-6 4l8 6", 1.2), box(54, 28, 14, 194), box(244, 28, 14, 194),
            ln(61, 28, 61, 222, FINE, "3 2"), ln(251, 28, 251, 222, FINE, "3 2"), box(66, 148, 180, 6, "ink"),
            hatched(68, 44, 176, 8, 4),
            run([(30, 96), (30, 30), (80, 30)], 1.8), run([(30, 96), (30, 200)], 1.8), ring(30, 60, 4),
            box(26, 72, 8, 14), box(18, 120, 24, 26), stroke("M22 133h16", 3),
            shape([(36, 166), (50, 160), (50, 166), (38, 172)]), sheet(10, 184, 34, 24, 2),
            stroke("M96 216h30v-20h-30zM110 196v-10", 1.4), ln(66, 218, 246, 218, 1, "6 3"),
            arrow(156, 160, 156, 214), sheet(266, 172, 38, 40, 4, "LOG"), stroke("M226 154v22c0 8 10 8 10 0", 2),
        ),
        (
            Place((30, 133), (12, 112), "Closes fully by each release, by one person", (
                "fire-curtain-close-releases", "fire-curtain-one-person", "fire-curtain-reset")),
            Place((156, 184), (176, 184), "Time, and the slow last part", ("fire-curtain-time",)),
            Place((61, 110), (84, 112), "Smoke pockets and guides", ("fire-curtain-pockets",)),
            Place((120, 48), (116, 72), "Seals: top, sides, floor", ("fire-curtain-seals",)),
            Place((112, 204), (136, 204), "Path on the floor", ("fire-curtain-floor-path",)),
            Place((30, 60), (12, 62), "Fusible links", ("fire-curtain-links",)),
            Place((30, 40), (12, 30), "Release line", ("fire-curtain-release-line",)),
            Place((48, 164), (80, 170), "Knife", ("fire-curtain-knife",)),
            Place((231, 178), (210, 196), "Nothing holds it open", ("fire-curtain-not-held",)),
            Place((204, 98), (180, 98), "Face, and the paper on what it is", (
                "fire-curtain-fabric", "fire-curtain-asbestos-note")),
            Place((284, 126), (304, 106), "Its arbor, weights, guides", ("fire-curtain-arbor",)),
            Place((150, 38), (176, 36), "Its lines", ("fire-curtain-lines",)),
            Place((210, 16), (234, 28), "Its blocks", ("fire-curtain-blocks",)),
            Place((20, 200), (56, 230), "Signs", ("fire-curtain-signs",)),
            Place((284, 200), (300, 226), "Closing log", ("fire-curtain-closing-log",)),
        ),
    )  # fmt: skip


def _smoke_vent() -> Drawing:
    return Drawing(
        "A smoke vent in the roof, one flap open, one shut; the release cable runs down to the stage.",
        (
            run([(8, 96), (96, 96)], BOLD), run([(224, 96), (312, 96)], BOLD), box(96, 66, 10, 40),
            box(214, 66, 10, 40), shape([(106, 66), (160, 60), (160, 66), (106, 72)]),
            shape([(214, 66), (222, 64), (196, 14), (188, 18)]),
            ring(214, 68, 4, "ink"), ring(106, 68, 4, "ink"), box(152, 66, 14, 10), ln(159, 76, 159, 100, 2),
            ring(159, 104, 4), box(155, 110, 8, 16), ln(159, 126, 159, 140, 2), sheave(159, 150, 10, 2),
            run([(169, 150), (169, 200)], 2),
            run([(149, 150), (60, 150)], 2), sheave(52, 158, 8, 2), run([(44, 158), (44, 214)], 2),
            floor(8, 312, 228), box(30, 196, 28, 26), stroke("M44 196v-10M36 186h16", 3),
            sheet(66, 192, 40, 30, 2, "DATE"),
            stroke("M86 98c2 10 -4 14 0 24", FINE), ln(250, 110, 250, 130, 2), box(230, 130, 44, 34),
            says(252, 150, "stored", 8), sheet(122, 196, 40, 30, 3, "RESET"),
            stroke("M230 60c10 -20 30 -10 30 -30M240 66c10 -20 34 -10 34 -34", FINE),
        ),
        (
            Place((204, 40), (180, 30), "Opens fully from the stage", ("smoke-vents-test-open",)),
            Place((159, 118), (182, 118), "Fusible links", ("smoke-vents-links",)),
            Place((100, 150), (100, 172), "Release cable and pulleys", ("smoke-vents-cable",)),
            Place((159, 70), (140, 44), "Latches and hinges", ("smoke-vents-latch",)),
            Place((100, 88), (72, 78), "Seal: no light, no water", ("smoke-vents-roof-seal",)),
            Place((240, 140), (216, 146), "Nothing in its way", ("smoke-vents-below-clear",)),
            Place((90, 212), (114, 184), "Date of the last test", ("smoke-vents-test-date",)),
            Place((150, 214), (182, 208), "Closing and resetting", ("smoke-vents-reset",)),
        ),
    )  # fmt: skip


DRAWINGS = {
    PartKind.HOIST: _hoist,
    PartKind.DRUM: _drum,
    PartKind.BRAKE: _brake,
    PartKind.LIMIT_SWITCH: _limit_switch,
    PartKind.CONTROL: _control,
    PartKind.FIRE_SAFETY_CURTAIN: _fire_curtain,
    PartKind.SMOKE_VENT: _smoke_vent,
}
