"""Marked images with something hot outside every mark, or with nothing of the kind."""
KINDS = ["none", "between", "cable", "forgotten"]
