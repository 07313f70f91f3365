"""Hottest 3×3 mean inside a circle, by numpy and scipy: hottest_block.py FILE PAGE SCALE OFFSET_K X Y R → °C"""
import sys

import numpy
import tifffile
from scipy import ndimage

path, page, scale, offset_k, x, y, r = sys.argv[1:]
page = int(page) - 1
image = numpy.load(path)[page] if path.endswith(".npy") else tifffile.imread(path, key=page)
celsius = image.astype(float) * float(scale) + float(offset_k) - 273.15
rows, columns = numpy.mgrid[: image.shape[0], : image.shape[1]]
mask = (columns - float(x)) ** 2 + (rows - float(y)) ** 2 <= float(r) ** 2
whole = ndimage.minimum_filter(mask, 3, mode="constant", cval=False)
means = ndimage.uniform_filter(celsius, 3)
print(repr(float(means[whole].max())))
