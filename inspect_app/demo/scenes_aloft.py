"""Scenes on the grid: blocks, lines, openings, deck, steel, temporary points."""

import math

from inspect_app.demo.canvas import BLACK, BRASS, BRIGHT, DARK_STEEL, PAINT, RUST, STEEL, WOOD, YELLOW, Board


def loft_block(board: Board, tag: str, amount: float) -> None:
    """A loft block seen square on: the groove is worn to one side by `amount`, bright where it cuts."""
    _channels(board)
    board.slab((470, 170, 1130, 300), PAINT)
    for x in (540, 1060):
        board.bolt((x, 235), 26, mark=True)
    centre, radius = (800, 640), 330
    board.disc(centre, radius, DARK_STEEL)
    board.disc(centre, radius * 0.86, STEEL)
    board.disc(centre, radius * 0.36, BRASS)
    board.bolt(centre, 44)
    for i in range(6):
        angle = i * math.pi / 3 + board.chance.uniform(0, 0.5)
        hole = (centre[0] + radius * 0.6 * math.cos(angle), centre[1] + radius * 0.6 * math.sin(angle))
        board.disc(hole, 46, (38, 40, 44))
    board.rope((0, 350), (640, 318), 28)
    board.rope((1128, 640), (1128, 1200), 28)
    if amount > 0.15:
        start, depth = 205, round(14 + 46 * amount)
        box = (centre[0] - radius + 4, centre[1] - radius + 4, centre[0] + radius - 4, centre[1] + radius - 4)
        board.draw.arc(box, start, start + 150, fill=BRIGHT, width=depth // 2)
        board.draw.arc(box, start + 6, start + 144, fill=(226, 226, 222), width=max(6, depth // 5))
        board.blotches((420, 960, 900, 1030), (120, 110, 96), round(60 * amount), 12)
        board.arrow((560, 400), 190, math.pi * 1.12)
    board.slab((690, 170, 910, 470), PAINT)
    board.label((800, 390), tag, 50)


def head_block(board: Board, tag: str, amount: float) -> None:
    """A head block from above: six grooves and the hand line's; `amount` lets one line leave its groove's middle."""
    _channels(board)
    board.slab((330, 250, 1270, 960), DARK_STEEL, round_across="x")
    for i in range(7):
        x = 400 + i * 122
        width = 74 if i == 3 else 46
        board.slab((x, 250, x + width, 960), (46, 48, 52), round_across="x", edge=2)
        shift = 34 * amount if i == 5 else 0.0
        if i == 3:
            board.slab((x + 8, 0, x + 66, 1200), WOOD, round_across="x", edge=2)
        else:
            board.rope((x + 23 + shift, 0), (x + 23 + shift, 1200), 30)
        if i == 5 and amount > 0.3:
            board.arrow((x + 80, 620), 170, 0.4)
    for side in (240, 1270):
        board.slab((side, 210, side + 90, 1000), PAINT)
        board.bolt((side + 45, 290), 26, mark=True)
        board.bolt((side + 45, 920), 26, mark=True)
        board.disc((side + 45, 605), 44, STEEL)
    board.label((285, 1080), tag, 46)


def rope(board: Board, tag: str, amount: float) -> None:
    """A lift line close up: broken wires, flats and red dust grow with `amount`."""
    board.slab((0, 0, 1600, 1200), (44, 42, 42))
    for y in (140, 1040):
        board.slab((0, y, 1600, y + 60), DARK_STEEL, round_across="y")
    board.rope((-40, 700), (1640, 520), 150, rust=0.7 * amount)
    count = round(9 * amount)
    for _ in range(count):
        x = board.chance.uniform(640, 1000)
        from_top = 700 - (x + 40) * 180 / 1680 + board.chance.uniform(-60, 40)
        board.wire_end((x, from_top), board.chance.uniform(60, 130), board.chance.uniform(-2.6, -0.5))
    if amount > 0.4:
        board.blotches((560, 640, 1080, 720), RUST, round(26 * amount), 18)
    if count:
        board.arrow((820, 470), 180, -1.1)
    _scale(board, (1050, 940))
    board.label((240, 930), tag, 46)


def rope_caliper(board: Board, tag: str, amount: float) -> None:
    """A caliper across a rope; `amount` narrows the rope."""
    width = 150 - 26 * amount
    board.rope((800, -40), (800, 1240), width, rust=0.2 * amount)
    half = width / 2
    board.slab((260, 540, 1420, 640), BRIGHT)
    board.slab((800 - half - 90, 420, 800 - half, 900), BRIGHT)
    board.slab((800 + half, 420, 800 + half + 90, 900), BRIGHT)
    for i in range(46):
        x = 300 + i * 24
        board.draw.line((x, 548, x, 548 + (44 if i % 5 == 0 else 24)), fill=BLACK, width=4)
    board.slab((800 + half, 505, 1240, 690), (60, 62, 66))
    board.slab((980, 535, 1210, 655), (168, 178, 158))
    board.label((330, 1000), tag, 46)


def open_well(board: Board, tag: str, amount: float) -> None:
    """A well between ribbon-steel bays, dark all the way down; above 0.5 its cover lies aside."""
    _ribbon(board, (0, 0, 1600, 420))
    _ribbon(board, (0, 800, 1600, 1200))
    board.draw.rectangle((0, 430, 1600, 790), fill=(6, 6, 8))
    board.draw.ellipse((980, 560, 1130, 650), fill=(30, 28, 24))
    for y in (418, 790):
        board.slab((0, y, 1600, y + 26), YELLOW if amount < 0.7 else STEEL)
    for i in range(6):
        x = 130 + i * 270 + board.chance.randint(-12, 12)
        board.rope((x, 300), (x + 14, 800), 18)
    if amount > 0.5:
        board.slab((930, 850, 1540, 1010), STEEL)
        board.arrow((760, 610), 180, 2.4)
    board.label((220, 880), tag, 46)


def grid_deck(board: Board, tag: str, amount: float) -> None:
    """Ribbon steel from above; a clip is missing and a bar bent by `amount`; small things lie about."""
    _ribbon(board, (0, 0, 1600, 1200))
    for y in (330, 860):
        board.slab((0, y, 1600, y + 46), DARK_STEEL, round_across="y")
        for i in range(6):
            if not (amount > 0.4 and y == 330 and i == 3):
                board.bolt((140 + i * 264, y + 23), 18)
    if amount > 0.4:
        board.draw.ellipse((890, 320, 970, 390), outline=(240, 236, 220), width=8)
        board.draw.arc((600, 360, 1240, 900), 200, 330, fill=STEEL, width=26)
    board.blotches((0, 0, 1600, 1200), (88, 78, 66), 34, 12)
    board.label((220, 1060), tag, 46)


def head_beam(board: Board, tag: str, amount: float) -> None:
    """Head steel with clips and witness marks; rust grows with `amount`."""
    board.slab((0, 200, 1600, 330), PAINT)
    board.slab((0, 330, 1600, 800), (48, 62, 78))
    board.slab((0, 800, 1600, 930), PAINT)
    for i in range(5):
        x = 160 + i * 320
        board.slab((x - 80, 170, x + 80, 240), STEEL)
        board.bolt((x - 40, 205), 20, mark=True)
        board.bolt((x + 40, 205), 20, mark=True)
    board.blotches((560, 340, 1000, 800), RUST, round(90 * amount), 50)
    board.label((260, 1050), tag, 46)


def temporary_point(board: Board, tag: str, amount: float) -> None:
    """A block hung with a sling over the grid steel; above 0.5 no tag hangs on it and the shackle pin is bare."""
    _ribbon(board, (0, 700, 1600, 1200))
    board.slab((200, 180, 1400, 330), PAINT, round_across="y")
    for side in (-1, 1):
        board.rope((800 + side * 150, 180), (800 + side * 26, 640), 40, (120, 100, 60))
    board.draw.arc((720, 590, 880, 790), 180, 360, fill=STEEL, width=40)
    board.slab((700, 690, 900, 740), STEEL, round_across="y")
    board.disc((800, 880), 130, DARK_STEEL)
    board.bolt((800, 880), 30)
    if amount <= 0.5:
        board.slab((980, 560, 1250, 730), (196, 40, 40))
        board.text((1115, 645), "SHOW / DATE", 40, anchor="mm")
    board.label((300, 1080), tag, 46)


def trim_chain(board: Board, tag: str, amount: float) -> None:
    """Trim chain round a batten; with `amount` one link opens."""
    board.slab((0, 800, 1600, 980), DARK_STEEL, round_across="y")
    board.rope((800, -20), (800, 190), 34)
    board.slab((764, 150, 836, 270), BRASS, round_across="x")
    for i in range(8):
        y = 270 + i * 74
        opened = amount > 0.4 and i == 4
        if i % 2:
            board.slab((784, y, 816, y + 110), STEEL, round_across="x")
        else:
            start = 20 + round(50 * amount) if opened else 0
            board.draw.arc((742, y - 6, 858, y + 116), start, 360 if not opened else 360 - 10, fill=STEEL, width=26)
            board.draw.arc((746, y - 2, 854, y + 112), 150, 260, fill=BRIGHT, width=6)
        if opened:
            board.arrow((880, y + 60), 180, -0.3)
    board.slab((700, 830, 900, 960), STEEL)
    board.bolt((800, 895), 34, mark=amount < 0.4)
    board.label((260, 1070), tag, 46)


def _channels(board: Board) -> None:
    board.slab((0, 60, 1600, 150), DARK_STEEL)
    board.slab((0, 1060, 1600, 1200), (52, 54, 58))


def _ribbon(board: Board, box: tuple[int, int, int, int]) -> None:
    left, top, right, bottom = box
    board.draw.rectangle(box, fill=(14, 14, 16))
    for i in range((bottom - top) // 46 + 1):
        y = top + i * 46
        board.slab((left, y, right, min(bottom, y + 20)), STEEL, edge=1)
    for i in range((right - left) // 310 + 1):
        board.slab((left + i * 310, top, left + i * 310 + 16, bottom), DARK_STEEL, edge=1)


def _scale(board: Board, at: tuple[int, int]) -> None:
    x, y = at
    board.draw.rectangle((x, y, x + 440, y + 70), fill=(214, 190, 60), outline=BLACK, width=3)
    for i in range(17):
        board.draw.line((x + 20 + i * 25, y, x + 20 + i * 25, y + (40 if i % 4 == 0 else 22)), fill=BLACK, width=4)


ALOFT = {
    "loft_block": loft_block,
    "head_block": head_block,
    "rope": rope,
    "rope_caliper": rope_caliper,
    "open_well": open_well,
    "grid_deck": grid_deck,
    "head_beam": head_beam,
    "temporary_point": temporary_point,
    "trim_chain": trim_chain,
}
