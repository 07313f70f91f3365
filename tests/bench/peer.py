"""The plain job as a script does it: peer.py tifffile|vips|gdal FOLDER PROCESSES.

The reader decodes; numpy does the rest, the same for all (plain_job.h is the twin in C++). Where a
reader cannot decode the frames, "cannot read: reason" is printed and the exit code is 3.
"""
import ctypes
import functools
import multiprocessing
import pathlib
import sys

import numpy

RADIUS_PX = 12
EMISSIVITY = 0.95
REFLECTED_K = 295.15
ZERO_CELSIUS_K = 273.15
KELVIN_PER_COUNT = 0.01
PLACES = ((0.25, 0.3), (0.5, 0.5), (0.75, 0.7))

OFFSETS = numpy.arange(-RADIUS_PX, RADIUS_PX + 1)
INSIDE = OFFSETS[:, None] ** 2 + OFFSETS[None, :] ** 2 <= RADIUS_PX ** 2


def tifffile_reader():
    import tifffile
    return tifffile.imread


def gdal_reader():
    from osgeo import gdal
    gdal.UseExceptions()
    return lambda path: gdal.Open(path).ReadAsArray()


def vips_reader():
    """libvips through ctypes: Debian 12 has no package of its Python binding."""
    vips = ctypes.CDLL("libvips.so.42")
    glib = ctypes.CDLL("libglib-2.0.so.0")
    gobject = ctypes.CDLL("libgobject-2.0.so.0")
    vips.vips_image_new_from_file.restype = ctypes.c_void_p
    vips.vips_image_write_to_memory.restype = ctypes.c_void_p
    vips.vips_error_buffer.restype = ctypes.c_char_p
    if vips.vips_init(b"peer") != 0:
        raise OSError(vips.vips_error_buffer().decode())
    vips.vips_concurrency_set(1)  # the processes of this script share the frames out already
    dtypes = {2: numpy.uint16, 6: numpy.float32}  # VIPS_FORMAT_USHORT, VIPS_FORMAT_FLOAT

    def read(path):
        image = ctypes.c_void_p(vips.vips_image_new_from_file(path.encode(), None))
        size = ctypes.c_size_t()
        memory = image and ctypes.c_void_p(vips.vips_image_write_to_memory(image, ctypes.byref(size)))
        if not memory:
            raise OSError(vips.vips_error_buffer().decode())
        shape = vips.vips_image_get_height(image), vips.vips_image_get_width(image)
        dtype = dtypes[vips.vips_image_get_format(image)]
        bytes_ = (ctypes.c_char * size.value).from_address(memory.value)
        pixels = numpy.frombuffer(bytes_, dtype).reshape(shape).copy()
        glib.g_free(memory)
        gobject.g_object_unref(image)
        return pixels

    return read


READERS = {"tifffile": tifffile_reader, "vips": vips_reader, "gdal": gdal_reader}


def object_c(apparent_k):
    power = (apparent_k ** 4 - (1 - EMISSIVITY) * REFLECTED_K ** 4) / EMISSIVITY
    return numpy.maximum(power, 0) ** 0.25 - ZERO_CELSIUS_K


def plain_job(pixels):
    height, width = pixels.shape
    counts = pixels.dtype.kind == "u"
    total = float(pixels.min()) + float(pixels.max()) + pixels.mean(dtype=numpy.float64)
    total *= KELVIN_PER_COUNT if counts else 1
    for across, down in PLACES:
        x, y = int(across * width), int(down * height)
        block = pixels[y - RADIUS_PX:y + RADIUS_PX + 1, x - RADIUS_PX:x + RADIUS_PX + 1]
        stored = block[INSIDE].astype(numpy.float64)
        region = object_c(stored * KELVIN_PER_COUNT if counts else stored + ZERO_CELSIUS_K)
        total += region.max() + region.mean() + numpy.percentile(region, 95)
    return total


@functools.cache
def reader_of(name):
    """Started in the process that uses it: libvips has threads, which a fork does not carry over."""
    return READERS[name]()


def measure(name, path):
    return plain_job(reader_of(name)(path))


def total_of(reader, paths, processes):
    job = functools.partial(measure, reader)
    if processes == 1:
        return sum(map(job, paths))
    with multiprocessing.Pool(processes) as pool:
        return sum(pool.imap(job, paths, 16))


def main():
    reader, folder, processes = sys.argv[1], pathlib.Path(sys.argv[2]), int(sys.argv[3])
    paths = sorted(str(path) for path in folder.glob("*.tif"))
    try:
        total = total_of(reader, paths, processes)
    except Exception as refused:  # whatever a library raises is the answer to report
        print(f"cannot read: {' '.join(str(refused).split())}")
        return 3
    print(f"frames {len(paths)} sum {total:.6f}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
