"""Scenes at the rail, on the bridge, at the batten and on the ways up."""

import math

from inspect_app.demo.canvas import BLACK, BRASS, BRIGHT, DARK_STEEL, PAINT, RED, RUST, STEEL, WOOD, YELLOW, Board

_BRICK = (64, 66, 70)


def arbor(board: Board, tag: str, amount: float) -> None:
    """A loaded arbor. Above 0.3 a collar is missing from one rod; above 0.7 the top brick sits askew."""
    board.slab((120, 0, 190, 1200), DARK_STEEL, round_across="x")
    board.slab((300, 120, 1300, 210), PAINT)
    for x in (520, 1080):
        board.slab((x - 20, 200, x + 20, 1200), STEEL, round_across="x")
        board.bolt((x, 165), 30)
    for i in range(8):
        y = 560 + i * 82
        shift = board.chance.randint(-8, 8) + (46 if amount > 0.7 and i == 0 else 0)
        board.slab((390 + shift, y, 1210 + shift, y + 74), _BRICK if i % 4 else (84, 76, 60))
    board.slab((370, 520, 1230, 552), BRASS)
    board.slab((452, 430, 588, 516), STEEL, round_across="x")
    board.bolt((520, 473), 18)
    if amount > 0.3:
        board.draw.ellipse((1000, 380, 1160, 540), outline=(240, 236, 220), width=8)
        board.arrow((1160, 450), 180, -0.5)
    else:
        board.slab((1012, 430, 1148, 516), STEEL, round_across="x")
        board.bolt((1080, 473), 18)
    board.label((800, 165), tag, 46)


def rope_lock(board: Board, tag: str, amount: float) -> None:
    """A rope lock at the rail; above 0.3 its ring is missing, above 0.7 the cam is glazed."""
    board.slab((0, 700, 1600, 840), DARK_STEEL)
    board.slab((700, 0, 790, 1200), WOOD, round_across="x")
    board.slab((930, 0, 1020, 1200), WOOD, round_across="x")
    for i in range(28):
        for x in (700, 930):
            board.draw.line((x, i * 44, x + 90, i * 44 + 30), fill=(92, 66, 40), width=5)
    board.slab((610, 430, 1110, 830), PAINT)
    board.slab((770, 210, 850, 640), RED, round_across="x")
    board.disc((810, 640), 60, STEEL)
    board.bolt((680, 770), 26)
    board.bolt((1040, 770), 26)
    if amount <= 0.3:
        board.draw.ellipse((690, 230, 1030, 340), outline=BRIGHT, width=22)
    else:
        board.arrow((880, 270), 190, -0.4)
    if amount > 0.7:
        board.slab((790, 520, 920, 560), (220, 214, 190))
    board.label((860, 1010), tag, 60)


def label_fault(board: Board, tag: str, amount: float) -> None:
    """Two labels that should agree; above 0.3 the lower one bears another number."""
    board.slab((260, 80, 1340, 520), PAINT)
    board.label((800, 300), tag, 130)
    board.slab((260, 640, 1340, 1060), DARK_STEEL)
    words = tag if amount <= 0.3 else f"{tag[:-1]}?" if amount <= 0.6 else "peeled off"
    board.label((800, 850), words, 110)
    if amount > 0.6:
        board.blotches((600, 800, 1000, 900), (196, 190, 172), 24, 40)
    if amount > 0.3:
        board.arrow((1120, 850), 180, 0.1)


def batten_end(board: Board, tag: str, amount: float) -> None:
    """The end of a batten with its line; above 0.4 the pipe is bent, old tape and tie line grow with `amount`."""
    for i in range(40):
        x0, x1 = i * 40, i * 40 + 42
        drop: float = 90 * amount * math.sin(min(1.0, i / 30) * math.pi / 2) if amount > 0.4 else 0.0
        board.slab((x0, 560 + drop, x1, 720 + drop), DARK_STEEL, round_across="y", edge=0)
    board.rope((520, -20), (520, 520), 34)
    board.slab((450, 500, 590, 780), STEEL)
    board.bolt((520, 760), 28, mark=amount < 0.4)
    for i in range(round(5 * amount) + 1):
        x = 760 + i * 130
        board.slab((x, 548, x + 60, 760), (30, 30, 32))
    board.label((300, 900), tag, 50)


def ladder(board: Board, tag: str, amount: float) -> None:
    """The ladder to the grid; above 0.4 one rung is bent and a bolt at its bracket is missing."""
    board.slab((0, 0, 1600, 1200), (66, 62, 58))
    for i in range(16):
        board.draw.line((0, i * 80, 1600, i * 80), fill=(56, 52, 48), width=4)
    for i in range(7):
        y = 80 + i * 170
        if amount > 0.4 and i == 3:
            board.draw.line((520, y + 20, 800, y + 74, 1080, y + 20), fill=BRIGHT, width=38, joint="curve")
            board.arrow((830, y + 90), 160, 1.2)
        else:
            board.slab((500, y, 1100, y + 42), YELLOW, round_across="y")
    for x in (460, 1090):
        board.slab((x, 0, x + 56, 1200), STEEL, round_across="x")
    board.slab((300, 300, 460, 370), DARK_STEEL)
    board.bolt((350, 335), 24)
    board.label((1340, 1060), tag, 46)


def guardrail(board: Board, tag: str, amount: float) -> None:
    """A guardrail and toe board at a drop; above 0.4 a chain hangs where the rail should be."""
    board.slab((0, 980, 1600, 1200), DARK_STEEL)
    for x in (160, 760, 1400):
        board.slab((x, 260, x + 60, 1000), YELLOW, round_across="x")
    for y in (280, 600):
        board.slab((160, y, 790, y + 50), YELLOW, round_across="y")
        if amount <= 0.4:
            board.slab((790, y, 1440, y + 50), YELLOW, round_across="y")
    if amount > 0.4:
        for i in range(22):
            x = 810 + i * 28
            sag = 150 * math.sin(i / 21 * math.pi)
            board.draw.ellipse((x, 300 + sag, x + 34, 322 + sag), outline=BRIGHT, width=6)
    board.slab((0, 890, 1600, 985), PAINT)
    board.label((330, 1100), tag, 46)


def hand_line(board: Board, tag: str, amount: float) -> None:
    """A hand line at the lock; fuzz and an old tape repair grow with `amount`."""
    board.slab((560, 0, 1040, 1200), (40, 40, 42))
    board.slab((680, 0, 920, 1200), (168, 146, 104), round_across="x")
    for i in range(24):
        y = i * 56 - 40
        board.draw.line((682, y, 918, y + 96), fill=(118, 98, 64), width=9)
    for _ in range(round(200 * amount)):
        x, at = board.chance.choice((684, 916)), board.chance.uniform(300, 900)
        reach = board.chance.uniform(10, 46) * (1 if x > 800 else -1)
        board.draw.line((x, at, x + reach, at + board.chance.uniform(-20, 20)), fill=(206, 186, 146), width=3)
    if amount > 0.5:
        board.slab((660, 520, 940, 700), (60, 60, 64), round_across="x")
    board.label((280, 1060), tag, 46)


def hoist(board: Board, tag: str, amount: float) -> None:
    """A hoist with its brake and drum; oil under the brake grows with `amount`."""
    board.slab((60, 900, 1540, 1010), DARK_STEEL)
    board.slab((120, 420, 560, 900), PAINT, round_across="y")
    for i in range(9):
        board.slab((150 + i * 42, 430, 166 + i * 42, 890), (44, 58, 74), edge=1)
    board.slab((560, 500, 720, 860), (150, 120, 40), round_across="y")
    board.slab((720, 360, 1460, 900), STEEL, round_across="y")
    for i in range(15):
        board.rope((760 + i * 46, 380), (760 + i * 46, 880), 20)
    if amount > 0.3:
        board.blotches((560, 860, 760, 980), (26, 20, 14), round(46 * amount), 46)
        board.arrow((650, 900), 180, 1.0)
    board.label((320, 1090), tag, 46)


def stop_tag(board: Board, tag: str, amount: float) -> None:
    """A lock and a tag on a set at the rail."""
    board.slab((0, 640, 1600, 780), DARK_STEEL)
    board.slab((700, 0, 790, 1200), WOOD, round_across="x")
    board.slab((610, 400, 1110, 800), PAINT)
    board.slab((770, 200, 850, 600), RED, round_across="x")
    board.draw.arc((1000, 420, 1120, 600), 180, 360, fill=BRIGHT, width=22)
    board.slab((980, 510, 1140, 660), BRASS)
    board.slab((1060, 700, 1460, 1040), (214, 206, 186))
    board.text((1260, 770), "OUT OF USE", 64, RED, "mm")
    board.text((1260, 860), tag, 60, (24, 24, 24), "mm")
    board.text((1260, 950), "ask the TD", 48, (24, 24, 24), "mm")
    board.draw.line((1060, 650, 1240, 710), fill=BRIGHT, width=5)


def line_end(board: Board, tag: str, amount: float) -> None:
    """A line end with thimble and sleeve at the arbor; above 0.4 the paint witness has parted from the sleeve."""
    board.slab((260, 900, 1340, 1010), PAINT)
    board.draw.ellipse((660, 560, 940, 980), outline=STEEL, width=44)
    board.rope((800, -20), (800, 400), 60)
    board.slab((740, 330, 860, 580), BRASS, round_across="x")
    for i in range(3):
        board.slab((726, 360 + i * 76, 874, 394 + i * 76), (124, 100, 52), edge=2)
    gap = 46 if amount > 0.4 else 0
    board.slab((764, 300 - gap, 836, 326 - gap), YELLOW, round_across="x", edge=1)
    if gap:
        board.arrow((850, 300), 180, -0.4)
    board.bolt((800, 955), 40)
    board.label((330, 1100), tag, 46)


def fire_curtain(board: Board, tag: str, amount: float) -> None:
    """The foot of the fire safety curtain; above 0.4 scenery stands in its path."""
    board.slab((0, 0, 1600, 820), (108, 102, 94))
    for i in range(16):
        board.draw.line((i * 104, 0, i * 104, 820), fill=(92, 86, 78), width=5)
    board.slab((0, 820, 1600, 890), STEEL, round_across="y")
    board.slab((0, 980, 1600, 1200), (40, 34, 30))
    board.slab((0, 1000, 1600, 1016), YELLOW, edge=1)
    if amount > 0.4:
        board.slab((940, 560, 1330, 1130), WOOD)
        board.arrow((930, 1000), 180, 2.8)
    board.text((400, 400), "SAFETY CURTAIN", 90, (196, 190, 178), "mm")
    board.text((400, 490), "KEEP CLEAR", 70, RED, "mm")


def loading_bridge(board: Board, tag: str, amount: float) -> None:
    """Weights stored on the bridge; stacks grow above the kick rail with `amount`."""
    board.slab((0, 1000, 1600, 1200), DARK_STEEL)
    board.slab((0, 700, 1600, 760), YELLOW, round_across="y")
    for stack in range(7):
        high = 4 + board.chance.randint(0, 1) + (round(6 * amount) if stack in (2, 3) else 0)
        for i in range(high):
            x = 60 + stack * 220 + board.chance.randint(-6, 6)
            board.slab((x, 940 - i * 62, x + 180, 1000 - i * 62), _BRICK if (stack + i) % 5 else RUST)
    board.draw.line((0, 700, 1600, 700), fill=BLACK, width=4)
    board.label((300, 1110), tag, 46)


BELOW = {
    "arbor": arbor,
    "rope_lock": rope_lock,
    "label_fault": label_fault,
    "batten_end": batten_end,
    "ladder": ladder,
    "guardrail": guardrail,
    "hand_line": hand_line,
    "hoist": hoist,
    "stop_tag": stop_tag,
    "line_end": line_end,
    "fire_curtain": fire_curtain,
    "loading_bridge": loading_bridge,
}
