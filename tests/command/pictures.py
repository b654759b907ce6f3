"""Pictures as others than we decode them: pages as poppler paints them, JPEG as poppler decodes it, and where a
photograph lies in a document."""
import base64
import os
import re
import struct
import subprocess
import tempfile

from bench import check, equal, tool

PPI = 300  # of pages that are painted here: as fine as the finest picture in them
HTML_POINTS = 3  # pdftohtml's largest zoom, pixels to a point


def read_ppm(path):
    """(width, height, RGB bytes) of a binary PPM, as poppler writes it."""
    with open(path, "rb") as file:
        data = file.read()
    head = re.match(rb"P6\n(\d+) (\d+)\n255\n", data)
    check(head, f"{path} is no PPM")
    return int(head.group(1)), int(head.group(2)), data[head.end():]


def done(*command):
    result = subprocess.run(command, capture_output=True, timeout=300, check=False)
    equal(result.returncode, 0, result.stderr.decode("utf-8", "replace"))
    return result.stdout


def pictures_of(pdf):
    """(width, height, RGB bytes) of every picture in colour, in the order of the pages."""
    with tempfile.TemporaryDirectory() as folder:
        done(tool("pdfimages"), pdf, os.path.join(folder, "p"))
        for name in sorted(os.listdir(folder)):
            if name.endswith(".ppm"):
                yield read_ppm(os.path.join(folder, name))


def page_of(pdf, number):
    """(width, height, RGB bytes) of a page, painted."""
    with tempfile.TemporaryDirectory() as folder:
        done(tool("pdftoppm"), "-r", str(PPI), "-f", str(number), "-l", str(number), "-singlefile", pdf,
             os.path.join(folder, "page"))
        return read_ppm(os.path.join(folder, "page.ppm"))


def places_of(pdf):
    """For every page its text and, for every picture on it, its box in pixels of the painted page."""
    with tempfile.TemporaryDirectory() as folder:
        text = done(tool("pdftohtml"), "-xml", "-hidden", "-stdout", "-zoom", str(HTML_POINTS), pdf,
                    os.path.join(folder, "x")).decode("utf-8")
    scale = PPI / (72 * HTML_POINTS)
    for number, page in enumerate(re.findall(r"<page .*?</page>", text, re.S), 1):
        boxes = [[int(value) * scale for value in box] for box in re.findall(
            r'<image top="(-?\d+)" left="(-?\d+)" width="(\d+)" height="(\d+)"', page)]
        yield number, re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", page)), [
            (left, top, width, height) for top, left, width, height in boxes]


def jpeg_size(jpeg):
    at = 2
    while at + 9 < len(jpeg):
        marker, length = struct.unpack(">HH", jpeg[at:at + 4])
        if marker in (0xFFC0, 0xFFC1, 0xFFC2):
            height, width = struct.unpack(">HH", jpeg[at + 5:at + 9])
            return width, height
        at += 2 + length
    raise AssertionError("no JPEG")


def decoded(jpeg):
    """(width, height, RGB bytes) of a JPEG: laid into the smallest PDF there is, for poppler to decode."""
    width, height = jpeg_size(jpeg)
    objects = [b"<</Type/Catalog/Pages 2 0 R>>", b"<</Type/Pages/Count 1/Kids[3 0 R]>>",
               b"<</Type/Page/Parent 2 0 R/MediaBox[0 0 9 9]/Contents 5 0 R/Resources<</XObject<</P 4 0 R>>>>>>",
               b"<</Type/XObject/Subtype/Image/Width %d/Height %d/ColorSpace/DeviceRGB/BitsPerComponent 8"
               b"/Filter/DCTDecode/Length %d>>stream\n%s\nendstream" % (width, height, len(jpeg), jpeg),
               b"<</Length 17>>stream\n9 0 0 9 0 0 cm/P Do\nendstream"]
    data, starts = b"%PDF-1.4\n", []
    for number, body in enumerate(objects, 1):
        starts.append(len(data))
        data += b"%d 0 obj" % number + body + b"endobj\n"
    table = b"xref\n0 6\n0000000000 65535 f \n" + b"".join(b"%010d 00000 n \n" % start for start in starts)
    with tempfile.NamedTemporaryFile(suffix=".pdf") as file:
        file.write(data + table + b"trailer<</Size 6/Root 1 0 R>>\nstartxref\n%d\n%%%%EOF\n" % len(data))
        file.flush()
        [picture] = pictures_of(file.name)
    equal(picture[:2], (width, height), "decoded")
    return picture


def pictures_of_html(page):
    """(alternative text, JPEG) of every picture of a page of HTML."""
    for tag in re.findall(r"<img [^>]+>", page):
        data = re.search(r'src="data:image/jpeg;base64,([^"]+)"', tag)
        check(data, tag[:80])
        yield re.search(r'alt="([^"]*)"', tag)[1], base64.b64decode(data[1], validate=True)
