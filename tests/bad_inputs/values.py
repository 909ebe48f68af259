"""What people and programs enter that nobody asked for."""

from __future__ import annotations

from hypothesis import strategies as st

KNOWN = (
    "", " ", "\t\n", "-1", "0", "-0", "nan", "inf", "-Infinity", "1e400", "1e-400", "9" * 400,
    "9223372036854775808", "-9223372036854775809", "2147483648", "0x10", "1_000", "\u0663", "1,5",
    "1.2.3", "\u22125", "1/0 in", "12 mm 3", "1 000 000 km", "5 furlongs", "1e308 in", "-300 C",
    "2024-02-30", "0000-00-00", "0001-01-01", "9999-12-31", "10000-01-01", "2024-01-01T25:00",
    "24:61", "31.12.2024", "2024-03-31T02:30", "\x00", "a\x00b", "\u202eabc", "\U0001f600" * 50,
    "<script>alert(1)</script>", "' OR 1=1 --", "{{ 7 * 7 }}", "=1+1", "../../etc/passwd", "None",
    "null", "true", "[]", "{}", "on", "A" * 5000, "\ufeff", "%s", "%00", "\r\nX: y",
)  # fmt: skip
texts = st.sampled_from(KNOWN) | st.text(st.characters(exclude_categories=["Cs"]), max_size=60)
"""Text as a form or a cell may hold it."""
json_values = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(2**70), 2**70)
    | st.floats()
    | texts
    | st.sampled_from(["\ud800", "half a \udfff sign"]),  # that JSON can hold and UTF-8 cannot
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(texts, inner, max_size=3),
    max_leaves=6,
)
"""Whatever a program may send for a value."""


@st.composite
def broken_bytes(draw: st.DrawFn, whole: bytes) -> bytes:
    """Return a file with a piece cut out, doubled, or written over."""
    # The length of what is packed changes with the hour; what is drawn must not.
    at = draw(st.integers(0, 999_999)) % (len(whole) or 1)
    length = draw(st.integers(0, 40))
    piece = draw(
        st.binary(max_size=20)
        | texts.map(lambda text: text.encode())
        | st.sampled_from([b"", b"\xff\xfe", b'"', b"\n", b",,,,", whole[at : at + length] * 2])
    )
    broken = whole[:at] + piece + whole[at + length :]
    return broken[: at + 1] if draw(st.booleans()) else broken
