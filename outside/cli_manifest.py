"""The manifest held against the files on the disk by other hands.

- Digests: BLAKE3 by the `blake3` package (bindings of the reference implementation).
- Where each picture's stream lies: the raw stream bytes of the page's images read by pikepdf
  (qpdf), page by page.
- The two halves of every spread: the last pixel column before the fold and the first behind it
  are neighbours of one picture, so they differ no more than its other neighbouring columns do.

Needs FOREDGE (the binary) and DEMO (a finished demo book folder).
"""

import io
import json
import os
import pathlib

import blake3
import numpy
import pikepdf
import PIL.Image

from kit.said import end, say

PIL.Image.MAX_IMAGE_PIXELS = None
demo = pathlib.Path(os.environ["DEMO"])
manifest = json.loads((demo / "press/manifest.json").read_text())


def pictures(page):
    return page.get_images() if hasattr(page, "get_images") else page.images


def digest(path):
    return blake3.blake3(pathlib.Path(path).read_bytes()).hexdigest()


wrong = [art["piece"] for art in manifest["art"] if digest(demo / "art" / art["piece"]) != art["blake3"]]
say(not wrong and manifest["art"], f"digests of {len(manifest['art'])} pieces of art {wrong}")
say(
    manifest["book"]["file_blake3"] == digest(demo / "book.toml"),
    "digest of book.toml",
)

for made in manifest["files"]:
    path = demo / "press" / made["file"]
    data = path.read_bytes()
    say(
        blake3.blake3(data).hexdigest() == made["blake3"] and len(data) == made["size_bytes"],
        f"{made['file']}: digest and size",
    )
    pdf = pikepdf.open(path)
    say(len(pdf.pages) == len(made["pages"]), f"{made['file']}: {len(made['pages'])} pages")
    streams, good = 0, True
    for page, told in zip(pdf.pages, made["pages"]):
        raw = sorted(bytes(image.read_raw_bytes()) for image in pictures(page).values())
        listed = []
        for picture in told["pictures"]:
            start = picture["offset_bytes"]
            part = data[start : start + picture["length_bytes"]]
            good &= blake3.blake3(part).hexdigest() == picture["blake3"]
            listed.append(part)
        good &= sorted(listed) == raw
        streams += len(listed)
    say(good, f"{made['file']}: {streams} streams lie where the manifest says")

interior = pikepdf.open(demo / "press/interior.pdf")
told = next(made for made in manifest["files"] if made["file"] == "interior.pdf")


def pixels(image):
    if image.Filter == "/DCTDecode":
        return numpy.asarray(PIL.Image.open(io.BytesIO(image.read_raw_bytes())))
    return numpy.frombuffer(image.read_bytes(), numpy.uint8).reshape(
        int(image.Height), int(image.Width), 4
    )


def inner_edge(page, image, left):
    """Pixel column of the fold within the image, from its place on the page."""
    matrix = next(
        [float(number) for number in operands]
        for operands, operator in pikepdf.parse_content_stream(page)
        if str(operator) == "cm"
    )
    trim = [float(number) for number in page.TrimBox]
    fold = trim[2] if left else trim[0]
    return (fold - matrix[4]) / matrix[0] * int(image.Width)


spreads = 0
for left, right in zip(told["pages"][1::2], told["pages"][2::2]):
    if len(left["pictures"]) != 1 or len(right["pictures"]) != 1:
        continue
    if left["pictures"][0]["piece"] != right["pictures"][0]["piece"]:
        continue
    spreads += 1
    pages = [interior.pages[side["page"] - 1] for side in (left, right)]
    images = [next(iter(pictures(page).values())) for page in pages]
    folds = [inner_edge(pages[0], images[0], True), inner_edge(pages[1], images[1], False)]
    first, second = (pixels(image).astype(float) for image in images)
    piece = left["pictures"][0]["piece"]
    cut = [round(fold) for fold in folds]
    if max(abs(fold - whole) for fold, whole in zip(folds, cut)) > 0.02:
        # The picture keeps its own pixels; the fold runs through one, which is on both halves.
        same = numpy.array_equal(
            first[:, int(numpy.floor(folds[0]))], second[:, int(numpy.floor(folds[1]))]
        )
        say(same, f"{piece}: the pixel column under the fold is the same on both halves")
        continue
    seam = numpy.abs(first[:, cut[0] - 1] - second[:, cut[1]]).mean()
    around = [
        numpy.abs(half[:, column] - half[:, column + 1]).mean()
        for half, near in ((first, cut[0] - 12), (second, cut[1]))
        for column in range(near, near + 10)
    ]
    say(
        seam <= 1.5 * max(around) + 0.5,
        f"{piece}: step over the fold {seam:.2f}, elsewhere up to {max(around):.2f} of 255",
    )
say(spreads > 0, f"{spreads} spreads looked at")
end()
