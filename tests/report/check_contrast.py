"""Contrast of the page's colours by the formula of WCAG 2.1 (relative luminance, 1.4.3 and 1.4.11)."""
import re
import sys

TEXT, GRAPHIC = 4.5, 3.0  # WCAG 2.1 level AA
NEEDED = {"ink": TEXT, "muted": TEXT, "link": TEXT} | {
    f"{kind}-{i}": GRAPHIC for kind, last in (("band", 4), ("phase", 3)) for i in range(1, last + 1)}


def luminance(colour):
    digits = "".join(c * 2 for c in colour) if len(colour) == 3 else colour
    channels = [int(digits[i:i + 2], 16) / 255 for i in (0, 2, 4)]
    linear = [c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return sum(w * c for w, c in zip((0.2126, 0.7152, 0.0722), linear))


def contrast(a, b):
    high, low = sorted((luminance(a), luminance(b)), reverse=True)
    return (high + 0.05) / (low + 0.05)


schemes = [dict(re.findall(r"--([\w-]+): #([0-9a-f]+);", block))
           for block in re.findall(r":root \{(.*?)\}", open(sys.argv[1]).read(), re.S)]
if len(schemes) != 3:
    print(f"{len(schemes)} colour schemes, wanted light, dark and print")
for number, colours in enumerate(schemes):
    for name, needed in NEEDED.items():
        for ground in ("paper", "card"):
            ratio = contrast(colours[name], colours[ground])
            if ratio < needed:
                print(f"scheme {number}: {name} on {ground} {ratio:.2f}, needs {needed}")
