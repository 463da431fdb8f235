"""The trip on paper: one computed value, laid out once, written in several forms; and the exports."""
