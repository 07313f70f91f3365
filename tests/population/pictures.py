"""Confusion table and reliability diagrams.

Blues of one hue and figures beside colour, so that they read in grey and to the colour-blind too.
"""
from collections import Counter

import matplotlib

matplotlib.use("Agg")
import matplotlib.pyplot as plt
import numpy as np

import judge

INK, PALE, BLUE = "#22303c", "#d5dde3", "#2a6f97"
VERDICTS = [
    "open_phase",
    "confirmed",
    "phase_agrees",
    "phase_conflict",
    "heat_only",
    "reading_only",
    "no_reading",
    "supply_unbalance",
    "load_unbalance",
    "unmarked_hot_spot",
    "not_judged",
    "even",
]

plt.rcParams.update(
    {
        "font.size": 9,
        "text.color": INK,
        "axes.labelcolor": INK,
        "axes.edgecolor": PALE,
        "xtick.color": INK,
        "ytick.color": INK,
        "svg.hashsalt": "ohmglow",
    }
)


def words(identifier):
    return identifier.replace("_", " ")


def confusion(cases, path):
    """Rows: kinds of truth; columns: verdicts of their judged component, in per cent of the row."""
    kinds = list(judge.RIGHT_EXPLANATIONS) + ["upstream_joint", "downstream_joint"]
    counts = {kind: Counter() for kind in kinds}
    for case in cases:
        entry = case.judged()
        counts[case.truth["kind"]][entry["verdict"] if entry else "not imaged"] += 1
    kinds = [kind for kind in kinds if counts[kind]]
    said = {verdict for kind in kinds for verdict in counts[kind]}
    verdicts = [verdict for verdict in VERDICTS if verdict in said] + sorted(said - set(VERDICTS))
    table = np.array([[counts[kind][verdict] for verdict in verdicts] for kind in kinds], float)
    shares = 100 * table / table.sum(axis=1, keepdims=True)
    figure, axes = plt.subplots(figsize=(2.6 + 0.72 * len(verdicts), 1.6 + 0.27 * len(kinds)))
    axes.imshow(shares, cmap="Blues", vmin=0, vmax=115, aspect="auto")
    for (row, column), value in np.ndenumerate(shares):
        if value > 0:
            axes.text(
                column,
                row,
                f"{value:.0f}",
                ha="center",
                va="center",
                fontsize=8,
                color="white" if value > 65 else INK,
            )
    axes.set_xticks(range(len(verdicts)), [words(v) for v in verdicts], rotation=40, ha="left")
    axes.set_yticks(
        range(len(kinds)),
        [f"{words(kind)} ({int(table[k].sum())})" for k, kind in enumerate(kinds)],
    )
    axes.xaxis.tick_top()
    axes.tick_params(length=0)
    for side in axes.spines.values():
        side.set_visible(False)
    axes.set_xlabel("verdict, % of the motors of each truth (number of motors)")
    figure.savefig(path, dpi=120, bbox_inches="tight", metadata={"Software": None})
    plt.close(figure)


def reliability(stated, right, title, path, bins=10):
    """True share against the stated probability, with 95 % by Wilson; below it, how many."""
    stated, right = np.asarray(stated, float), np.asarray(right, float)
    figure, (upper, lower) = plt.subplots(
        2, 1, figsize=(4.4, 5.2), sharex=True, gridspec_kw={"height_ratios": [4, 1], "hspace": 0.08}
    )
    upper.plot([0, 1], [0, 1], color=PALE, linewidth=1.5, zorder=1)
    which = np.minimum((stated * bins).astype(int), bins - 1)
    for b in range(bins):
        inside = which == b
        n = inside.sum()
        if n:
            share = right[inside].mean()
            low, high = wilson(share, n)
            upper.plot([stated[inside].mean()] * 2, [low, high], color=BLUE, linewidth=1.2)
            upper.plot(stated[inside].mean(), share, "o", color=BLUE, markersize=6)
    lower.bar(
        (np.arange(bins) + 0.5) / bins, np.bincount(which, minlength=bins), 0.9 / bins, color=BLUE
    )
    error = judge.calibration_error(stated, right)
    said = (
        "nothing stated"
        if error is None
        else f"calibration error {error:.3f}, {len(stated)} components"
    )
    upper.set_title(f"{title}\n{said}", fontsize=10)
    upper.set(ylabel="share that was right", xlim=(0, 1.02), ylim=(-0.02, 1.04))
    lower.set(ylabel="number", xlabel="stated probability")
    for axes in (upper, lower):
        axes.spines[["top", "right"]].set_visible(False)
    figure.savefig(path, dpi=120, bbox_inches="tight", metadata={"Software": None})
    plt.close(figure)


def wilson(share, n, z=1.96):
    middle = (share + z * z / (2 * n)) / (1 + z * z / n)
    half = z * np.sqrt(share * (1 - share) / n + z * z / (4 * n * n)) / (1 + z * z / n)
    return middle - half, middle + half


def draw(cases, folder):
    folder.mkdir(parents=True, exist_ok=True)
    confusion(cases, folder / "verdicts_confusion.png")
    confirmed = judge.confirmed_right(cases, False)
    reliability(
        [stated for stated, _ in confirmed],
        [right for _, right in confirmed],
        "confirmed",
        folder / "confirmed_reliability.png",
    )
    tops = judge.top_explanations(cases)
    reliability(
        [stated for _, stated, _ in tops],
        [right for _, _, right in tops],
        "likeliest explanation",
        folder / "explanations_reliability.png",
    )
