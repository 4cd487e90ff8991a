"""One-time codes as people read them out and type them: 20 signs in fives or 8 in fours, none that look alike.

The signs are those of Crockford's Base 32: no I, L, O or U; what is typed for them is read as 1, 1 and 0.
"""

import re

from inspect_app.domain.errors import BadValue

SIGNS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
LENGTH = 20  # 5 bits each: 100 bits
PAIRING_LENGTH = 8  # 40 bits: enough for ten minutes and a few tries


def code_text(number: int, length: int = LENGTH) -> str:
    """The code of a random number of 5 bits a sign, as XXXXX-XXXXX-XXXXX-XXXXX or XXXX-XXXX."""
    return _grouped("".join(SIGNS[(number >> (5 * place)) & 31] for place in range(length)))


def read_code(typed: str, length: int = LENGTH) -> str:
    """The code in its one form, however it was typed. Raises BadValue when it cannot be one."""
    signs = re.sub(r"[\s\-–]", "", typed.upper()).translate(str.maketrans("ILO", "110"))
    if len(signs) != length or any(sign not in SIGNS for sign in signs):
        raise BadValue(f"A code has {length} letters and digits. Type it as it was given to you.", "code")
    return _grouped(signs)


def _grouped(signs: str) -> str:
    size = 5 if len(signs) % 5 == 0 else 4
    return "-".join(signs[start : start + size] for start in range(0, len(signs), size))
