"""Prints one line an image of a demo survey: file, stored type, width, height, TIFF coding
(compression, predictor, tiled, big-endian, BigTIFF, pages) or "-", who declares, and the largest
distance of a stored number from a whole multiple of the encoding's step."""

import sys

import numpy as np
import tifffile

from survey_reader import Survey, stored


PREDICTORS = {1: "NONE", 2: "HORIZONTAL", 3: "FLOATINGPOINT"}  # TIFF 6.0 sec. 14 and TechNote 3


def coding(path):
    if path.suffix != ".tif":
        return "-"
    with tifffile.TiffFile(path) as file:
        page = file.pages[0]
        return ":".join([page.compression.name, PREDICTORS[int(page.predictor)], "tiles" if page.is_tiled else "strip",
                         "big" if file.byteorder == ">" else "little",
                         "bigtiff" if file.is_bigtiff else "tiff", str(len(file.pages))])


def main(folder):
    survey = Survey(folder)
    for row in survey.images:
        pixels, declared = stored(survey, row)
        by = "table" if row["unit"] else "file" if declared else "none"
        finite = pixels[np.isfinite(pixels)].astype(float)
        step = 0.01 if row["file"].endswith(".csv") else 1.0
        off = np.abs(finite / step - np.round(finite / step)).max()
        print(row["file"], pixels.dtype.newbyteorder("=").name, pixels.shape[1], pixels.shape[0],
              coding(survey.folder / row["file"]), by, f"{off:.6f}")


if __name__ == "__main__":
    main(sys.argv[1])
