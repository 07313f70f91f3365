#!/usr/bin/python3
"""Writes small images in many encodings with independent writers, and what must be read from them.

usage: write_images.py FOLDER

Writers: tifffile, libtiff's tiffcp, numpy, astropy, and for PNG a few lines over zlib (PNG
specification, 2nd edition). expected.json lists for each case: file, page, width, height, dtype,
pages, raw (a file of the pixels, top row first, this machine's byte order), tolerance (0 = bit by
bit), and the embedded declaration, if there is one.
"""
import json
import os
import struct
import subprocess
import sys
import warnings
import zlib

import numpy as np
import tifffile
from astropy.io import fits

warnings.filterwarnings('ignore')
OUT = sys.argv[1]
os.makedirs(OUT, exist_ok=True)
WIDTH, HEIGHT = 37, 29
cases = []


def path(name):
    return os.path.join(OUT, name)


def expect(file, pixels, page=1, pages=1, tolerance=0.0, declared=None, dtype=None):
    raw = f'{file}.{page}.raw'
    np.ascontiguousarray(pixels.astype(pixels.dtype.newbyteorder('='))).tofile(path(raw))
    cases.append(dict(file=file, page=page, pages=pages, width=pixels.shape[1],
                      height=pixels.shape[0], dtype=dtype or pixels.dtype.name, raw=raw,
                      tolerance=tolerance, declared=declared))


def pattern(dtype, seed=1, shape=(HEIGHT, WIDTH)):
    """A smooth scene with noise and the extremes of the type, so that each codec has work to do."""
    r = np.random.default_rng(seed)
    y, x = np.mgrid[0:shape[0], 0:shape[1]]
    scene = 295 + 40 * np.exp(-((x - 20) ** 2 + (y - 9) ** 2) / 30) + r.normal(0, .05, shape)
    if np.dtype(dtype).kind == 'f':
        a = scene.astype(dtype)
        a[3, 4], a[5, 6], a[7, 8] = np.nan, np.inf, -np.inf
        a[0, 0], a[0, 1] = np.finfo(dtype).max, np.finfo(dtype).min
        return a
    a = (scene if np.dtype(dtype).itemsize == 1 else scene * 100) % (np.iinfo(dtype).max + 1)
    a = a.astype(dtype)
    a[0, 0], a[0, 1] = np.iinfo(dtype).max, np.iinfo(dtype).min
    return a


def write_tiffs():
    layouts = [('strip7', dict(rowsperstrip=7)), ('onestrip', dict(rowsperstrip=HEIGHT)),
               ('tile', dict(tile=(16, 32)))]
    for kind in ('u1', 'u2', 'i2', 'i4', 'f4', 'f8'):
        a = pattern(kind)
        for order in '<>':
            for big in (False, True):
                for layout, options in layouts:
                    for compression in (None, 'zlib'):
                        name = (f'{kind}_{"le" if order == "<" else "be"}_{"big" if big else "classic"}'
                                f'_{layout}_{compression or "raw"}.tif')
                        tifffile.imwrite(path(name), a, byteorder=order, bigtiff=big,
                                         compression=compression, metadata=None, **options)
                        expect(name, a)
        recode(kind, a)


def recode(kind, a):
    """tiffcp: the codecs and predictors that tifffile alone does not write."""
    source = path(f'{kind}_le_classic_onestrip_raw.tif')
    codecs = ['lzw:1', 'zip:1', 'packbits', 'zstd:1', 'none']
    codecs += ['lzw:2', 'zip:2', 'zstd:2']
    codecs += ['lzw:3', 'zip:3', 'zstd:3'] if kind[0] == 'f' else []
    for codec in codecs:
        for layout in (['-s', '-r', '5'], ['-t', '-w', '16', '-l', '32']):
            for order in ('-L', '-B'):
                # tiffcp writes the planes of bytes in reverse for predictor 3 with swapped byte
                # order, and cannot read its own file; big_endian_float writes that case.
                if codec.endswith(':3') and order == '-B':
                    continue
                big = ['-8'] if order == '-B' and layout[0] == '-t' else []
                name = f'{kind}_tiffcp_{codec.replace(":", "")}{layout[0]}{order}.tif'
                done = subprocess.run(['tiffcp', '-c', codec, *layout, order, *big, source, path(name)],
                                      stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
                if done.returncode != 0:
                    sys.exit(f'tiffcp could not write {name}')
                expect(name, a)


def long_strips():
    """One strip for the whole of a larger image, so that LZW fills and clears its table."""
    for kind in ('u1', 'u2', 'f4'):
        a = pattern(kind, shape=(240, 320))
        tifffile.imwrite(path(f'{kind}_long.tif'), a, metadata=None, rowsperstrip=240)
        for codec in ('lzw:1', 'lzw:2', 'zip:2', 'packbits', 'zstd:2'):
            name = f'{kind}_long_{codec.replace(":", "")}.tif'
            subprocess.run(['tiffcp', '-c', codec, '-r', '240', path(f'{kind}_long.tif'), path(name)],
                           check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
            expect(name, a)


def big_endian_float(kind):
    """Floating-point predictor as in TIFF Technical Note 3: most significant bytes first."""
    a = pattern(kind)
    size = a.dtype.itemsize
    planes = a.astype(f'>{kind}').view('u1').reshape(HEIGHT, WIDTH, size).transpose(0, 2, 1)
    rows = planes.reshape(HEIGHT, WIDTH * size)
    data = zlib.compress(np.diff(rows, axis=1, prepend=np.uint8(0)).astype('u1').tobytes())
    tags = [(256, 4, WIDTH), (257, 4, HEIGHT), (258, 3, 8 * size), (259, 3, 8), (262, 3, 1),
            (273, 4, 8), (277, 3, 1), (278, 4, HEIGHT), (279, 4, len(data)), (317, 3, 3), (339, 3, 3)]
    data += b'\0' * (len(data) % 2)
    entries = b''.join(struct.pack('>HHI', tag, t, 1) + struct.pack('>I' if t == 4 else '>HH', *(
        (v,) if t == 4 else (v, 0))) for tag, t, v in tags)
    with open(path(f'{kind}_be_predictor3.tif'), 'wb') as f:
        f.write(b'MM\0*' + struct.pack('>I', 8 + len(data)) + data +
                struct.pack('>H', len(tags)) + entries + b'\0\0\0\0')
    expect(f'{kind}_be_predictor3.tif', a)


def write_stacks_and_declarations():
    stack = np.stack([pattern('u2', seed) for seed in (1, 2, 3)])
    tifffile.imwrite(path('stack.tif'), stack, photometric='minisblack',
                     metadata=dict(scale=0.01, offset=-273.15, unit='C'))
    for i in range(3):
        expect('stack.tif', stack[i], page=i + 1, pages=3,
               declared=dict(scale=0.01, offset=-273.15, unit='c', **{'from': 'ImageDescription'}))
    with tifffile.TiffWriter(path('pages.tif')) as writer:
        for i in range(3):
            writer.write(stack[i, :, :20 + i], metadata=None, compression='zlib' if i else None)
    for i in range(3):
        expect('pages.tif', stack[i, :, :20 + i], page=i + 1, pages=3)

    a = stack[0]
    described = [
        ('json_kelvin', '{"scale": 0.01, "unit": "k"}', dict(scale=.01, offset=None, unit='k')),
        ('json_more', '{"camera": [1, {"scale": 7}], "offset": -10, "scale": 2e-2, "unit": "C"}',
         dict(scale=.02, offset=-10, unit='c')),
        ('json_none', '{"shape": [29, 37]}', None),
        ('json_broken', '{"scale": 0.01, "unit": "k"', None),
        ('json_text', 'scale = 0.01 unit = k', None)]
    for name, text, declared in described:
        tifffile.imwrite(path(name + '.tif'), a, description=text, metadata=None)
        expect(name + '.tif', a,
               declared=declared and dict(declared, **{'from': 'ImageDescription'}))

    def gdal(*items):
        return ('<GDALMetadata>\n' + ''.join(
            f'  <Item name="{n}" sample="{s}" role="{r}">{v}</Item>\n' if r else
            f'  <Item name="{n}">{v}</Item>\n' for n, r, s, v in items) + '</GDALMetadata>\n')
    metadata = [
        ('gdal_kelvin', gdal(('OFFSET', 'offset', 0, '0'), ('SCALE', 'scale', 0, '0.01'),
                             ('UNITTYPE', 'unittype', 0, 'K')), dict(scale=.01, offset=0, unit='k')),
        ('gdal_celsius', gdal(('Scale', 'scale', 0, '0.04'), ('Offset', 'offset', 0, '-273.15'),
                              ('UnitType', 'unittype', 0, '&#176;C')),
         dict(scale=.04, offset=-273.15, unit='c')),
        ('gdal_names', gdal(('scale', '', 0, '0.1'), ('offset', '', 0, ' 5 '), ('unittype', '', 0, 'degrees Celsius')),
         dict(scale=.1, offset=5, unit='c')),
        ('gdal_no_unit', gdal(('SCALE', 'scale', 0, '0.01'), ('OTHER', '', 0, '<x/>')),
         dict(scale=.01, offset=None, unit=None)),
        ('gdal_other_sample', gdal(('SCALE', 'scale', 1, '7'), ('SCALE', 'scale', 0, '0.5')),
         dict(scale=.5, offset=None, unit=None)),
        ('gdal_nothing', gdal(('AREA_OR_POINT', '', 0, 'Area')), None)]
    for name, xml, declared in metadata:
        tifffile.imwrite(path(name + '.tif'), a, metadata=None, extratags=[(42112, 's', 0, xml, True)])
        expect(name + '.tif', a, declared=declared and dict(declared, **{'from': 'GDAL_METADATA'}))
    tifffile.imwrite(path('both.tif'), a, description='{"scale": 0.02, "unit": "k"}', metadata=None,
                     extratags=[(42112, 's', 0, metadata[1][1], True)])
    expect('both.tif', a, declared=dict(scale=.02, offset=None, unit='k', **{'from': 'ImageDescription'}))


def write_npys():
    for kind in ('u1', 'u2', 'i2', 'i4', 'f4', 'f8'):
        for order in '<>':
            dtype = np.dtype(order + kind)
            stack = np.stack([pattern(kind, seed) for seed in (1, 2, 3)]).astype(dtype)
            for layout in 'CF':
                for version in ((1, 0), (2, 0), (3, 0)):
                    name = f'{kind}_{"le" if order == "<" else "be"}_{layout}_v{version[0]}.npy'
                    with open(path(name), 'wb') as f:
                        np.lib.format.write_array(f, np.asarray(stack[0], order=layout), version)
                    expect(name, stack[0])
                name = f'{kind}_{"le" if order == "<" else "be"}_{layout}_stack.npy'
                np.save(path(name), np.asarray(stack, order=layout))
                for i in range(3):
                    expect(name, stack[i], page=i + 1, pages=3)


def write_fits():
    for kind in ('u1', 'u2', 'i2', 'i4', 'f4', 'f8'):
        a = pattern(kind)
        fits.PrimaryHDU(a[::-1]).writeto(path(f'{kind}.fits'), overwrite=True)
        expect(f'{kind}.fits', a)
    stack = np.stack([pattern('u2', seed) for seed in (1, 2)])
    fits.PrimaryHDU(stack[:, ::-1]).writeto(path('cube.fits'), overwrite=True)
    for i in range(2):
        expect('cube.fits', stack[i], page=i + 1, pages=2)
    fits.HDUList([fits.PrimaryHDU(), fits.ImageHDU(stack[1][::-1])]).writeto(
        path('extension.fits'), overwrite=True)
    expect('extension.fits', stack[1])
    # Scaled integers: physical value = BZERO + BSCALE x stored (FITS Standard 4.0, 5.3).
    stored = pattern('i2')
    hdu = fits.PrimaryHDU(stored[::-1])
    hdu.header['BSCALE'], hdu.header['BZERO'] = 0.01, 250.0
    hdu.writeto(path('scaled.fits'), overwrite=True)
    expect('scaled.fits', (250 + 0.01 * stored.astype('f8')).astype('f4'), tolerance=3e-5)
    # Blank pixels of a scaled integer image are undefined: NaN.
    hdu = fits.PrimaryHDU(stored[::-1])
    hdu.header['BSCALE'], hdu.header['BZERO'], hdu.header['BLANK'] = 0.01, 250.0, int(stored[4, 4])
    hdu.writeto(path('blank.fits'), overwrite=True)
    blank = (250 + 0.01 * stored.astype('f8')).astype('f4')
    blank[stored == stored[4, 4]] = np.nan
    expect('blank.fits', blank, tolerance=3e-5)


def chunk(kind, data):
    return struct.pack('>I', len(data)) + kind + data + struct.pack('>I', zlib.crc32(kind + data))


def filtered(rows, size):
    """Each row with another of the five filters (PNG specification, section 9)."""
    out, above = b'', bytes(len(rows[0]))
    for i, row in enumerate(rows):
        kind, line = i % 5, bytearray()
        for j, value in enumerate(row):
            left = row[j - size] if j >= size else 0
            corner = above[j - size] if j >= size else 0
            paeth = min((left, above[j], corner), key=lambda p: abs(left + above[j] - corner - p))
            guess = (0, left, above[j], (left + above[j]) // 2, paeth)[kind]
            line.append((value - guess) % 256)
        out, above = out + bytes([kind]) + bytes(line), row
    return out


def png(name, a, interlace=False):
    size = a.dtype.itemsize
    big = a.astype(a.dtype.newbyteorder('>'))
    steps = ([(0, 0, 8, 8), (0, 4, 8, 8), (4, 0, 8, 4), (0, 2, 4, 4), (2, 0, 4, 2), (0, 1, 2, 2),
              (1, 0, 2, 1)] if interlace else [(0, 0, 1, 1)])
    data = b''
    for y, x, dy, dx in steps:
        part = big[y::dy, x::dx]
        if part.size:
            data += filtered([row.tobytes() for row in part], size)
    header = struct.pack('>IIBBBBB', a.shape[1], a.shape[0], 8 * size, 0, 0, 0, int(interlace))
    packed = zlib.compress(data)
    with open(path(name), 'wb') as f:
        f.write(b'\x89PNG\r\n\x1a\n' + chunk(b'IHDR', header) + chunk(b'tEXt', b'Title\0scene') +
                chunk(b'IDAT', packed[:40]) + chunk(b'IDAT', packed[40:]) + chunk(b'IEND', b''))
    expect(name, a)


def write_pngs():
    for kind in ('u1', 'u2'):
        png(f'{kind}.png', pattern(kind))
        png(f'{kind}_interlaced.png', pattern(kind), interlace=True)


def text(name, a, delimiter=',', comma=False, end='\n', head='', tail='', no_data='nan', fmt='%.3f',
         encoding='utf-8'):
    lines = [delimiter.join('' if np.isnan(v) and no_data == '' else no_data if np.isnan(v) else fmt % v
                            for v in row) + tail for row in a]
    body = end.join(lines) + end
    with open(path(name), 'w', newline='', encoding=encoding) as f:
        f.write(head + (body.replace('.', ',') if comma else body))
    expect(name, np.round(a, 3), dtype='text')


def write_texts():
    a = np.round(pattern('f8', shape=(12, 9)), 3)
    a[~np.isfinite(a) | (abs(a) > 1e6)] = 20.0
    holes = a.copy()
    holes[2, 3] = holes[2, 4] = holes[0, 0] = holes[11, 8] = np.nan
    text('plain.csv', a)
    text('crlf.csv', a, end='\r\n')
    text('semicolon.csv', a, delimiter=';')
    text('semicolon_comma.csv', a, delimiter=';', comma=True, end='\r\n')
    text('tab.tsv', a, delimiter='\t')
    text('tab_comma.txt', a, delimiter='\t', comma=True)
    text('size_header.csv', a, head='9,12\n')
    text('names_header.csv', a, head='width,height\n9,12\n')
    text('long_header.csv', a, head='Scene: pump, lower deck\n\nTemperatures in degrees\n')
    text('list_header.csv', a, head=''.join(f'item {i},{i}\n' for i in range(20)))
    text('mark.csv', a, encoding='utf-8-sig')
    text('blanks.csv', a, delimiter=' , ')
    text('exponents.csv', a, fmt='%.9e')
    text('trailing.csv', a, tail=',')
    text('trailing_semicolon.csv', a, delimiter=';', tail=';')
    for word in ('nan', 'NaN', '', 'NA', 'n/a', '#N/A', 'null', '-nan(ind)'):
        text(f'holes_{len(cases)}.csv', holes, no_data=word)
    text('quoted.csv', a, fmt='"%.3f"')


write_tiffs()
long_strips()
big_endian_float('f4')
big_endian_float('f8')
write_stacks_and_declarations()
write_npys()
write_fits()
write_pngs()
write_texts()
with open(path('expected.json'), 'w', encoding='utf-8') as f:
    json.dump(cases, f)
print(len(cases), 'cases')
