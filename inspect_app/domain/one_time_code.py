"""One-time codes as people read them out and type them: 20 signs in fives, without letters that look alike.

The signs are those of Crockford's Base 32: no I, L, O or U; what is typed for them is read as 1, 1 and 0.
"""

import re

from inspect_app.domain.errors import BadValue

SIGNS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
LENGTH = 20  # 5 bits each: 100 bits


def code_text(number: int) -> str:
    """The code of a random number of 100 bits, as XXXXX-XXXXX-XXXXX-XXXXX."""
    signs = "".join(SIGNS[(number >> (5 * place)) & 31] for place in range(LENGTH))
    return "-".join(signs[start : start + 5] for start in range(0, LENGTH, 5))


def read_code(typed: str) -> str:
    """The code in its one form, however it was typed. Raises BadValue when it cannot be one."""
    signs = re.sub(r"[\s\-–]", "", typed.upper()).translate(str.maketrans("ILO", "110"))
    if len(signs) != LENGTH or any(sign not in SIGNS for sign in signs):
        raise BadValue(f"A code has {LENGTH} letters and digits. Type it as it was given to you.", "code")
    return "-".join(signs[start : start + 5] for start in range(0, LENGTH, 5))
