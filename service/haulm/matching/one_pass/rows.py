"""The pass's operations on rows of seasons: loops where the compiler is installed, else calls of numpy."""

from haulm.matching.one_pass.compiler import IS_COMPILED

if IS_COMPILED:
    from haulm.matching.one_pass.row_loops import (
        add,
        ask,
        clear_rows,
        column,
        copy_rows,
        drop_too_few,
        fill,
        free_less,
        hold_less,
        is_any,
        is_same,
        least,
        next_visited,
        put,
        put_column,
        settle_freed,
        settle_held,
        subtract,
    )
else:
    from haulm.matching.one_pass.row_calls import (
        add,
        ask,
        clear_rows,
        column,
        copy_rows,
        drop_too_few,
        fill,
        free_less,
        hold_less,
        is_any,
        is_same,
        least,
        next_visited,
        put,
        put_column,
        settle_freed,
        settle_held,
        subtract,
    )

__all__ = [
    "add",
    "ask",
    "clear_rows",
    "column",
    "copy_rows",
    "drop_too_few",
    "fill",
    "free_less",
    "hold_less",
    "is_any",
    "is_same",
    "least",
    "next_visited",
    "put",
    "put_column",
    "settle_freed",
    "settle_held",
    "subtract",
]
