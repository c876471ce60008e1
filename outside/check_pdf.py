#!/usr/bin/env python3
"""Our check of press files, held against files made awkward on purpose and against Ghostscript.

Held against: PDFs built with pikepdf (qpdf) whose faults are known, for the findings; the plates that
Ghostscript's `tiffsep` device renders of the same pages, for the highest ink total and its place; and
whatever PDFs Debian packages and Python packages brought onto this machine, which must not crash it.

Environment: EXAMPLES, a folder with the built example `check_file` (built here if unset); FOREDGE, the
built program, whose `check` must say the same; DEMO, a finished demo book folder, whose press files are
compared too.
"""

import glob
import io
import json
import os
import random
import subprocess
import sys
import tempfile
import time
import zlib

import numpy as np
import pikepdf
from PIL import Image, ImageCms
from pikepdf import Array, Dictionary, Name

from kit.examples import example

HERE = os.path.dirname(os.path.abspath(__file__))
ROOT = os.path.dirname(HERE)
PT = 72 / 25.4
failures = []


TOOL = example("press", "check_file")


def report(path, *arguments, limit=120):
    done = subprocess.run(
        [TOOL, path, *arguments], capture_output=True, text=True, timeout=limit, check=False
    )
    if done.returncode != 0:
        raise RuntimeError(f"exit {done.returncode}: {done.stderr[-400:]}")
    if "panicked" in done.stderr:
        raise RuntimeError(f"a panic was caught: {done.stderr[-400:]}")
    return json.loads(done.stdout)


def say(good, what):
    print(("ok    " if good else "FAIL  ") + what, flush=True)
    if not good:
        failures.append(what)


# ---------------------------------------------------------------- building

def icc(space):
    """A profile of any kind will do here; sRGB comes with Pillow, CMYK is a header alone."""
    if space == "RGB":
        return ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    head = bytearray(132)
    head[0:4] = (132).to_bytes(4, "big")
    head[12:16], head[16:20], head[20:24], head[36:40] = b"prtr", b"CMYK", b"Lab ", b"acsp"
    return bytes(head)


def image(pdf, array, space, **more):
    """An image object from an array of bytes (rows, columns, components)."""
    array = np.ascontiguousarray(array, dtype=np.uint8)
    entries = dict(
        Type=Name.XObject, Subtype=Name.Image, Width=array.shape[1], Height=array.shape[0],
        BitsPerComponent=8, ColorSpace=space, Filter=Name.FlateDecode,
    )
    entries.update(more)
    return pdf.make_stream(zlib.compress(array.tobytes()), **entries)


def separation(pdf, name, cmyk=(0, 0.5, 1, 0)):
    function = Dictionary(FunctionType=2, Domain=[0, 1], C0=[0, 0, 0, 0], C1=list(cmyk), N=1)
    return Array([Name.Separation, Name("/" + name), Name.DeviceCMYK, function])


class Sheet:
    """A PDF of pages of 100 × 80 mm with 3 mm of bleed, sound unless told otherwise."""

    def __init__(self, width=100, height=80, bleed=3):
        self.pdf = pikepdf.new()
        self.width, self.height, self.bleed = width, height, bleed
        intent = Dictionary(
            Type=Name.OutputIntent, S=Name.GTS_PDFX, OutputConditionIdentifier="FOGRA39",
            DestOutputProfile=self.pdf.make_stream(icc("CMYK"), N=4),
        )
        self.pdf.Root.OutputIntents = Array([intent])
        self.pdf.docinfo["/Trapped"] = Name("/False")

    def page(self, content, resources=None, **entries):
        w, h, b = self.width * PT, self.height * PT, self.bleed * PT
        page = Dictionary(
            Type=Name.Page,
            MediaBox=[0, 0, w + 2 * b, h + 2 * b],
            BleedBox=[0, 0, w + 2 * b, h + 2 * b],
            TrimBox=[b, b, w + b, h + b],
            Resources=Dictionary(resources or {}),
            Contents=self.pdf.make_stream(content.encode("latin-1")),
        )
        for key, value in entries.items():
            if value is None:
                del page["/" + key]
            else:
                page["/" + key] = value
        self.pdf.pages.append(pikepdf.Page(self.pdf.make_indirect(page)))
        return self

    def save(self, path, **options):
        with self.pdf.open_metadata() as xmp:
            xmp.register_xml_namespace("http://www.npes.org/pdfx/ns/id/", "pdfxid")
            xmp["pdfxid:GTS_PDFXVersion"] = "PDF/X-4"
        options.setdefault("force_version", "1.6")
        if not options["force_version"]:
            del options["force_version"]
        self.pdf.save(path, **options)
        return path


def mm_rect(x, y, width, height, sheet):
    """`re` for millimetres from the trim's top left corner."""
    left = (x + sheet.bleed) * PT
    bottom = (sheet.height + sheet.bleed - y - height) * PT
    return f"{left:.4f} {bottom:.4f} {width * PT:.4f} {height * PT:.4f} re"


def placed(x, y, width, height, sheet, name="I"):
    left = (x + sheet.bleed) * PT
    bottom = (sheet.height + sheet.bleed - y - height) * PT
    return f"q {width * PT:.4f} 0 0 {height * PT:.4f} {left:.4f} {bottom:.4f} cm /{name} Do Q"


# ---------------------------------------------------------------- Ghostscript

def plates(path, page, ppi):
    """Plates of the bleed box by Ghostscript, as shares of solid: {ink: array}."""
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run(
            ["gs", "-q", "-dBATCH", "-dNOPAUSE", "-dSAFER", "-sDEVICE=tiffsep", f"-r{ppi}",
             "-dUseBleedBox", "-dRenderTTNotdef=false", f"-dFirstPage={page}", f"-dLastPage={page}",
             "-sOutputFile=" + os.path.join(folder, "p%d.tif"), path],
            check=True, capture_output=True,
        )
        found = {}
        for name in glob.glob(os.path.join(folder, "*(*).tif")):
            ink = name[name.rindex("(") + 1:name.rindex(")")]
            with Image.open(name) as plate:
                found[ink] = 1 - np.asarray(plate.convert("L"), dtype=np.float64) / 255
        return found


def compare_ink(label, path, page, bleed=3.0, ppi=300, tolerance=1.5, arguments=()):
    Image.MAX_IMAGE_PIXELS = None
    read = report(path, *arguments)["per_page"][page - 1]
    ours, (x, y) = read["ink_most"], read["ink_most_at_mm"]
    total = sum(plates(path, page, ppi).values()) * 100
    theirs = total.max()
    # In their rendering, the highest total within half a millimetre of our place.
    px, py = [int((v + bleed) / 25.4 * ppi) for v in (x, y)]
    reach = max(2, int(0.5 / 25.4 * ppi))
    near = total[max(0, py - reach):py + reach + 1, max(0, px - reach):px + reach + 1]
    there = near.max() if near.size else -1
    good = abs(ours - theirs) <= tolerance and abs(there - theirs) <= tolerance
    say(good, f"ink, {label}: ours {ours:.1f} % at {x:.1f}, {y:.1f} mm; tiffsep {theirs:.1f} %, "
              f"{there:.1f} % at our place")


# ---------------------------------------------------------------- findings

def awkward(folder):
    def path(name):
        return os.path.join(folder, name + ".pdf")

    def codes(read, severity=None):
        return {f["code"] for f in read["findings"] if severity in (None, f["severity"])}

    def expect(label, file, wanted, *arguments, none=(), severity=None):
        read = report(file, *arguments)
        found = codes(read)
        good = wanted <= found and not (set(none) & found)
        if severity:
            good = good and wanted <= codes(read, severity)
        say(good, f"finding, {label}: wants {sorted(wanted)}, found {sorted(found)}")
        return read

    usual = ["--trim", "100x80mm", "--bleed", "3mm", "--ink", "300"]
    black = "0 0 0 1 k "

    sheet = Sheet()
    sheet.page(black + mm_rect(10, 10, 20, 20, sheet) + " f")
    read = expect("a sound file", sheet.save(path("sound")), set(), "--pages", "1", *usual)
    say(not read["findings"], "finding, a sound file: no finding at all")

    sheet = Sheet()
    sheet.page("1 1 1 1 k " + mm_rect(42, 17, 5, 5, sheet) + " f")
    read = expect("400 % black square", sheet.save(path("ink")), {"check-ink-total"}, *usual,
                  severity="stop")
    page = read["per_page"][0]
    x, y = page["ink_most_at_mm"]
    say(abs(page["ink_most"] - 400) < 0.1 and 41.8 <= x <= 47.2 and 16.8 <= y <= 22.2,
        f"finding, 400 % black square: {page['ink_most']} % at {x}, {y} mm, drawn at 42, 17 mm")

    sheet = Sheet()
    rgb = image(sheet.pdf, np.full((600, 600, 3), 90), Name.DeviceRGB)
    sheet.page(placed(10, 10, 50, 50, sheet), {"/XObject": {"/I": rgb}})
    expect("RGB image", sheet.save(path("rgb")), {"check-rgb-without-profile"}, *usual,
           "--press", "coated", severity=None)

    sheet = Sheet()
    profile = sheet.pdf.make_stream(icc("RGB"), N=3)
    rgb = image(sheet.pdf, np.full((600, 600, 3), 90), Array([Name.ICCBased, profile]))
    sheet.page(placed(10, 10, 50, 50, sheet), {"/XObject": {"/I": rgb}})
    expect("RGB image with profile", sheet.save(path("rgbicc")), {"check-rgb"}, *usual,
           none=["check-rgb-without-profile"])

    sheet = Sheet()
    font = Dictionary(Type=Name.Font, Subtype=Name.Type1, BaseFont=Name.Helvetica)
    sheet.page("BT 0 0 0 1 k /F 20 Tf 40 40 Td (Hello) Tj ET", {"/Font": {"/F": font}})
    expect("font not embedded", sheet.save(path("font")), {"check-font-missing"}, *usual,
           severity="stop")

    sheet = Sheet()
    sheet.page("/G gs " + black + mm_rect(10, 10, 20, 20, sheet) + " f",
               {"/ExtGState": {"/G": Dictionary(ca=0.5)}})
    expect("transparency", sheet.save(path("transparent")), {"check-transparency"}, *usual)

    sheet = Sheet()
    sheet.page(black + mm_rect(10, 10, 20, 20, sheet) + " f", TrimBox=None)
    expect("no TrimBox", sheet.save(path("trim")), {"check-trim-missing"}, *usual, severity="stop")

    sheet = Sheet()
    low = image(sheet.pdf, np.full((200, 200, 4), 90), Name.DeviceCMYK)
    sheet.page(placed(10, 10, 50, 50, sheet), {"/XObject": {"/I": low}})
    read = expect("image of 102 ppi", sheet.save(path("ppi")), {"check-resolution-low"}, *usual,
                  severity="stop")
    say(abs(read["per_page"][0]["lowest_ppi"] - 200 / 50 * 25.4) < 0.1,
        f"effective resolution: {read['per_page'][0]['lowest_ppi']:.2f}, reckoned {200 / 50 * 25.4:.2f}")

    sheet = Sheet()
    low = image(sheet.pdf, np.full((400, 400, 4), 90), Name.DeviceCMYK)
    sheet.page("q 0.7071 0.7071 -0.7071 0.7071 150 20 cm 141.732 0 0 141.732 0 0 cm /I Do Q",
               {"/XObject": {"/I": low}})
    read = expect("turned image of 203 ppi", sheet.save(path("turned")), {"check-resolution-low"},
                  *usual, severity="warn")
    say(abs(read["per_page"][0]["lowest_ppi"] - 400 / 50 * 25.4) < 0.1,
        f"effective resolution, turned: {read['per_page'][0]['lowest_ppi']:.2f}")

    sheet = Sheet()
    sheet.page(black + mm_rect(10, 10, 20, 20, sheet) + " f")
    for name, encryption in [
        ("a password", pikepdf.Encryption(owner="o", user="u", R=6)),
        ("permissions alone", pikepdf.Encryption(owner="o", user="", R=4)),
    ]:
        file = sheet.save(path("locked"), encryption=encryption, force_version="")
        expect(f"locked by {name}", file, {"check-encrypted"}, *usual, severity="stop")

    sheet = Sheet()
    noise = image(sheet.pdf, np.random.default_rng(1).integers(0, 200, (700, 700, 4)), Name.DeviceCMYK)
    sheet.page(placed(10, 10, 50, 50, sheet), {"/XObject": {"/I": noise}})
    whole = open(sheet.save(path("whole"), object_stream_mode=pikepdf.ObjectStreamMode.disable), "rb").read()
    for share in (0.02, 0.3, 0.7, 0.95):
        with open(path("cut"), "wb") as cut:
            cut.write(whole[: int(len(whole) * share)])
        read = report(path("cut"), *usual)
        say(bool({"check-not-a-pdf", "check-damaged"} & codes(read, "stop")),
            f"finding, cut to {share:.0%}: {sorted(codes(read))}")

    sheet = Sheet()
    sheet.page(black + mm_rect(10, 10, 20, 20, sheet) + " f")
    del sheet.pdf.Root.OutputIntents
    expect("no output intent", sheet.save(path("intent")), {"check-output-intent-missing"}, *usual,
           severity="stop")

    sheet = Sheet()
    sheet.pdf.Root.OutputIntents[0].DestOutputProfile = sheet.pdf.make_stream(icc("RGB"), N=3)
    sheet.page(black + mm_rect(10, 10, 20, 20, sheet) + " f")
    expect("output intent in RGB", sheet.save(path("intent_rgb")), {"check-output-profile-kind"},
           *usual, severity="stop")

    sheet = Sheet()
    sheet.pdf.Root.OutputIntents[0].OutputConditionIdentifier = "Elsewhere 7"
    sheet.page(black + mm_rect(10, 10, 20, 20, sheet) + " f")
    expect("another output intent", sheet.save(path("intent_other")),
           {"check-output-intent-differs"}, *usual, "--press", "coated", severity="warn")

    sheet = Sheet(bleed=2)
    sheet.page(black + mm_rect(10, 10, 20, 20, sheet) + " f")
    expect("2 mm of bleed", sheet.save(path("bleed")), {"check-bleed-short"}, *usual, severity="stop")

    sheet = Sheet(width=213.9)
    sheet.page(black + mm_rect(10, 10, 20, 20, sheet) + " f")
    cover = ["--trim", "100x80mm", "--bleed", "3mm", "--pages", "1"]
    expect("cover with its spine", sheet.save(path("cover")), set(), *cover, "--spine", "13.9mm",
           none=["check-spine-width", "check-trim-size"])
    read = expect("cover with another spine", path("cover"), {"check-spine-width"}, *cover,
                  "--spine", "12.1mm", severity="stop")
    print("      " + [f for f in read["findings"] if f["code"] == "check-spine-width"][0]["message"])

    sheet = Sheet()
    for _ in range(3):
        sheet.page("")
    expect("three pages for four", sheet.save(path("count")), {"check-page-count"}, "--pages", "4",
           *usual, severity="stop")

    sheet = Sheet()
    sheet.page("")
    sheet.width = 90
    sheet.page("")
    expect("pages of two sizes", sheet.save(path("sizes")), {"check-page-sizes-differ"})
    expect("pages of two sizes, against the book", path("sizes"), {"check-trim-size"}, *usual)

    sheet = Sheet()
    sheet.page("", BleedBox=[30, 30, 100, 100])
    expect("boxes not nested", sheet.save(path("nested")), {"check-boxes-not-nested"}, *usual)

    sheet = Sheet()
    sheet.page("/G gs 0 0 0 0 k " + mm_rect(10, 10, 20, 20, sheet) + " f",
               {"/ExtGState": {"/G": Dictionary(OP=True, op=True, OPM=1)}})
    expect("white that overprints", sheet.save(path("white")), {"check-white-overprint"}, *usual)

    sheet = Sheet()
    sheet.page("0 0 0 1 K 0.1 w 20 20 m 100 100 l S")
    expect("a hairline", sheet.save(path("hair")), {"check-hairline"}, *usual)

    sheet = Sheet()
    bits = np.zeros((300, 38), dtype=np.uint8)
    drawing = image(sheet.pdf, bits, Name.DeviceGray, Width=300, BitsPerComponent=1)
    sheet.page(placed(10, 10, 50, 50, sheet), {"/XObject": {"/I": drawing}})
    expect("line art of 152 ppi", sheet.save(path("line_art")), {"check-line-art-low"}, *usual,
           none=["check-resolution-low"])

    sheet = Sheet()
    link = Dictionary(Type=Name.Annot, Subtype=Name.Link, Rect=[50, 50, 100, 100],
                      A=Dictionary(S=Name.URI, URI="http://example.org"))
    sheet.page("", Annots=Array([link]))
    sheet.pdf.Root.OpenAction = Dictionary(S=Name.JavaScript, JS="app.alert(1)")
    sheet.pdf.Root.OCProperties = Dictionary(
        OCGs=Array([sheet.pdf.make_indirect(Dictionary(Type=Name.OCG, Name="Words"))]),
        D=Dictionary(Order=Array([])))
    expect("links, scripts, layers", sheet.save(path("acts")),
           {"check-comment-in-print", "check-action", "check-script", "check-layers"}, *usual)

    sheet = Sheet()
    foil = separation(sheet.pdf, "Foil")
    sheet.page("/S cs 1 scn " + mm_rect(10, 10, 20, 20, sheet) + " f", {"/ColorSpace": {"/S": foil}})
    expect("a spot ink", sheet.save(path("spot")), {"check-spot-ink"}, *usual)

    sheet = Sheet()
    sheet.page("", UserUnit=2)
    expect("a user unit", sheet.save(path("unit")), {"check-user-unit"})

    for name, text in [("empty", b""), ("words", b"Dear reader"), ("head", b"%PDF-1.6\n")]:
        with open(path(name), "wb") as out:
            out.write(text)
        expect(f"no PDF: {name}", path(name), {"check-not-a-pdf"}, severity="stop")


# ---------------------------------------------------------------- ink against Ghostscript

def ink(folder):
    rng = np.random.default_rng(7)

    def path(name):
        return os.path.join(folder, "ink_" + name + ".pdf")

    # At 300 ppi on their pixel grid, so that both see the very samples: 1.2 mm is no whole number
    # of pixels, so the picture lies on a grid of 0.24 pt from the sheet's corner.
    sheet = Sheet()
    samples = rng.integers(0, 120, (600, 800, 4))
    samples[411, 233] = [250, 240, 230, 200]
    picture = image(sheet.pdf, samples, Name.DeviceCMYK)
    sheet.page(f"q {800 * 0.24} 0 0 {600 * 0.24} 24 24 cm /I Do Q", {"/XObject": {"/I": picture}})
    compare_ink("one dark sample in a picture", sheet.save(path("sample")), 1)

    sheet = Sheet()
    indices = rng.integers(0, 4, (400, 400))
    table = bytes([0, 0, 0, 0, 200, 100, 0, 0, 250, 250, 240, 90, 10, 20, 30, 40])
    picture = image(sheet.pdf, indices[:, :, None], Array([Name.Indexed, Name.DeviceCMYK, 3, pikepdf.String(table)]))
    sheet.page(f"q {400 * 0.24} 0 0 {400 * 0.24} 24 24 cm /I Do Q", {"/XObject": {"/I": picture}})
    compare_ink("indexed picture", sheet.save(path("indexed")), 1)

    for label, mode, quality in [("grey JPEG", "L", 90), ("CMYK JPEG", "CMYK", 95)]:
        sheet = Sheet()
        x, y = np.meshgrid(np.linspace(0, 1, 480), np.linspace(0, 1, 360))
        if mode == "L":
            pixels = (40 + 180 * (x * y)).astype(np.uint8)
        else:
            pixels = np.stack([x * 230, y * 210, x * y * 190, (1 - x) * 120], axis=2).astype(np.uint8)
        out = io.BytesIO()
        Image.fromarray(pixels, mode).save(out, "JPEG", quality=quality)
        entries = dict(Type=Name.XObject, Subtype=Name.Image, Width=480, Height=360,
                       BitsPerComponent=8, Filter=Name.DCTDecode)
        if mode == "L":
            entries["ColorSpace"] = Name.DeviceGray
        else:
            # Pillow writes CMYK upside down, as is the custom; the decode array says so.
            entries.update(ColorSpace=Name.DeviceCMYK, Decode=[1, 0] * 4)
        picture = sheet.pdf.make_stream(out.getvalue(), **entries)
        sheet.page(f"q {480 * 0.24} 0 0 {360 * 0.24} 24 24 cm /I Do Q", {"/XObject": {"/I": picture}})
        compare_ink(label, sheet.save(path("jpeg_" + mode)), 1)

    sheet = Sheet()
    samples = rng.integers(0, 60, (300, 300, 4))
    samples[100:103, 50:53] = [255, 255, 0, 128]
    picture = image(sheet.pdf, samples, Name.DeviceCMYK)
    hidden = mm_rect(8, 38, 40, 30, sheet)
    sheet.page(f"q 72 0 0 72 24 24 cm /I Do Q 0 0 0 0.5 k {hidden} f",
               {"/XObject": {"/I": picture}})
    compare_ink("a dark sample hidden by a lighter ground", sheet.save(path("hidden")), 1)

    sheet = Sheet()
    over = Dictionary(OP=True, op=True, OPM=1)
    foil = separation(sheet.pdf, "Foil")
    sheet.page(
        "0.9 0.8 0.7 0 k " + mm_rect(10, 10, 40, 40, sheet) + " f /G gs 0 0 0 1 k "
        + mm_rect(20, 20, 10, 10, sheet) + " f /S cs 0.6 scn " + mm_rect(25, 25, 20, 10, sheet) + " f",
        {"/ExtGState": {"/G": over}, "/ColorSpace": {"/S": foil}})
    compare_ink("black and a spot ink overprinting", sheet.save(path("over")), 1)

    sheet = Sheet()
    sheet.page(
        "0.9 0.8 0.7 0 k " + mm_rect(10, 10, 40, 40, sheet) + " f 0 0 0 1 k "
        + mm_rect(20, 20, 10, 10, sheet) + " f /S cs 0.6 scn " + mm_rect(25, 25, 20, 10, sheet) + " f",
        {"/ColorSpace": {"/S": foil}})
    compare_ink("the same knocking out", sheet.save(path("knock")), 1)

    sheet = Sheet()
    names = Array([Name.Cyan, Name("/Deep Blue"), Name.Black])
    function = sheet.pdf.make_stream(b"{0 exch}", FunctionType=4, Domain=[0, 1] * 3, Range=[0, 1] * 4)
    several = Array([Name.DeviceN, names, Name.DeviceCMYK, function])
    sheet.page("/S cs 0.5 0.75 0.25 scn " + mm_rect(10, 10, 40, 40, sheet) + " f",
               {"/ColorSpace": {"/S": several}})
    compare_ink("DeviceN", sheet.save(path("devicen")), 1)

    sheet = Sheet()
    function = Dictionary(FunctionType=2, Domain=[0, 1], C0=[0.1, 0, 0, 0], C1=[1, 0.9, 0.6, 0.3], N=1)
    shade = Dictionary(ShadingType=2, ColorSpace=Name.DeviceCMYK, Coords=[20, 0, 200, 0],
                       Function=function, Extend=Array([True, False]))
    round_shade = Dictionary(ShadingType=3, ColorSpace=Name.DeviceCMYK, Coords=[150, 120, 5, 150, 120, 60],
                             Function=function, Extend=Array([True, True]))
    sheet.page("q 20 20 150 100 re W n /A sh Q", {"/Shading": {"/A": shade}})
    sheet.page("q 60 40 140 150 re W n /B sh Q", {"/Shading": {"/B": round_shade}})
    sheet.save(path("shade"))
    compare_ink("shading along a line", path("shade"), 1, tolerance=2.5)
    compare_ink("shading between circles", path("shade"), 2, tolerance=2.5)

    sheet = Sheet()
    sheet.page("q 30 20 200 150 re W n 0.4 0.3 0.2 0.1 k 80 120 m 140 220 200 20 240 120 c 160 60 l h f "
               "1 0.5 0 0 K 4 w [12 6] 0 d 30 30 m 200 180 l S 0 0 0 1 k "
               "100 100 m 130 160 l 160 100 l 90 140 l 170 140 l h f* Q")
    compare_ink("curves, strokes and clips", sheet.save(path("paths")), 1)

    sheet = Sheet()
    form = sheet.pdf.make_stream(b"1 0.2 0.3 0.4 k 0 0 50 50 re f 0.1 g 10 10 20 20 re f",
                                 Type=Name.XObject, Subtype=Name.Form, BBox=[0, 0, 40, 40],
                                 Matrix=[0.8, 0.3, -0.3, 0.8, 0, 0], Resources=Dictionary())
    sheet.page("q 2 0 0 1.5 60 50 cm /F Do Q", {"/XObject": {"/F": form}})
    compare_ink("a turned form", sheet.save(path("form")), 1)

    sheet = Sheet()
    tile = sheet.pdf.make_stream(b"1 0 1 0.2 k 0 0 6 6 re f", Type=Name.Pattern, PatternType=1,
                                 PaintType=1, TilingType=1, BBox=[0, 0, 10, 10], XStep=10, YStep=10,
                                 Resources=Dictionary())
    sheet.page("0.5 0.5 0 0 k 20 20 100 100 re f /Pattern cs /P scn 50 50 63 63 re f",
               {"/Pattern": {"/P": tile}})
    compare_ink("a repeated drawing", sheet.save(path("tiles")), 1)

    sheet = Sheet()
    samples = rng.integers(0, 60, (90, 120, 4))
    samples[30, 40] = [255, 250, 240, 100]
    picture = image(sheet.pdf, samples, Name.DeviceCMYK)
    sheet.page("q 0.866 0.5 -0.5 0.866 120 60 cm 110 0 0 90 0 0 cm /I Do Q", {"/XObject": {"/I": picture}})
    sheet.page("q 0 110 -90 0 160 60 cm /I Do Q", {"/XObject": {"/I": picture}})
    sheet.page("q 110 0 0 -90 60 160 cm /I Do Q", {"/XObject": {"/I": picture}}, Rotate=90)
    sheet.save(path("turned"))
    compare_ink("a picture askew", path("turned"), 1)
    compare_ink("a picture turned by a quarter", path("turned"), 2)
    ours = report(path("turned"))["per_page"][2]
    # The page is shown turned clockwise: what lies x from the left and y from the bottom of the
    # trim is then y from the left and x from the top.
    sample = (60 + 110 * 40.5 / 120, 160 - 90 * (1 - 30.5 / 90))
    place = ((sample[1] / PT) - 3, (sample[0] / PT) - 3)
    near = all(abs(a - b) < 0.6 for a, b in zip(ours["ink_most_at_mm"], place))
    say(near and abs(ours["ink_most"] - 845 / 2.55) < 0.1,
        f"ink, a page shown turned: {ours['ink_most']:.1f} % at {ours['ink_most_at_mm']}, reckoned "
        f"{845 / 2.55:.1f} % at {place[0]:.1f}, {place[1]:.1f} mm")

    fonts(sheet, path)


def fonts(sheet, path):
    """Text in embedded TrueType and CFF faces, if the machine has some."""
    sheet = Sheet()
    faces = glob.glob("/usr/share/fonts/**/*.ttf", recursive=True)
    if not faces:
        print("skip  text: no TrueType face on this machine")
        return
    data = open(sorted(faces)[0], "rb").read()
    descriptor = Dictionary(Type=Name.FontDescriptor, FontName=Name("/Face"), Flags=32, ItalicAngle=0,
                            FontBBox=[0, 0, 1000, 1000], Ascent=800, Descent=-200, CapHeight=700,
                            StemV=80, FontFile2=sheet.pdf.make_stream(data, Length1=len(data)))
    face = Dictionary(Type=Name.Font, Subtype=Name.TrueType, BaseFont=Name("/Face"), FirstChar=72,
                      LastChar=72, Widths=[700], Encoding=Name.WinAnsiEncoding,
                      FontDescriptor=sheet.pdf.make_indirect(descriptor))
    sheet.page("0.5 0.5 0.5 0.2 k 0 0 300 240 re f 0.1 0.1 0.1 0.1 k 30 30 200 150 re f "
               "BT 1 0.9 0.8 0.7 k /F 120 Tf 60 60 Td (H) Tj ET", {"/Font": {"/F": face}})
    compare_ink("a letter", sheet.save(path("letter")), 1)


# ---------------------------------------------------------------- files of others

def made_elsewhere(folder):
    """Files by the writers of other programs: a browser, Ghostscript, cairo, mupdf, qpdf."""
    page = os.path.join(folder, "page.html")
    with open(page, "w", encoding="utf-8") as out:
        out.write("""<body style="font-family:serif"><h1>Harbour</h1><p style="opacity:.5">Faint words</p>
<div style="width:300px;height:200px;background:linear-gradient(45deg,red,blue);box-shadow:5px 5px 20px
#000"></div><svg width="200" height="200"><pattern id="p" width="10" height="10"
patternUnits="userSpaceOnUse"><circle cx="5" cy="5" r="4" fill="green"/></pattern><radialGradient id="g">
<stop offset="0" stop-color="yellow"/><stop offset="1"/></radialGradient><rect width="200" height="100"
fill="url(#p)"/><circle cx="100" cy="150" r="50" fill="url(#g)"/></svg>""")

    def out(name):
        return os.path.join(folder, "elsewhere_" + name + ".pdf")

    steps = [
        ["chromium", "--headless", "--no-sandbox", "--disable-gpu", "--print-to-pdf=" + out("browser"),
         "file://" + page],
        ["pdftocairo", "-pdf", out("browser"), out("cairo")],
        ["gs", "-q", "-dSAFER", "-sDEVICE=pdfwrite", "-o", out("gs"), out("browser")],
        ["mutool", "clean", "-s", "-gggg", out("browser"), out("mupdf")],
        ["qpdf", "--linearize", "--object-streams=generate", out("browser"), out("linear")],
    ]
    for step in steps:
        subprocess.run(step, capture_output=True, check=False, timeout=120)
    return sorted(glob.glob(os.path.join(folder, "elsewhere_*.pdf")))


def same_by_program(folder):
    program = os.environ.get("FOREDGE")
    if not program:
        print("skip  program: FOREDGE is not set")
        return
    for name, code in [("sound", 0), ("font", 1), ("cut", 1)]:
        file = os.path.join(folder, name + ".pdf")
        done = subprocess.run([program, "check", file, "--json"], capture_output=True, text=True,
                              check=False, timeout=120, cwd=folder)
        theirs = sorted((f["code"], f["severity"]) for f in json.loads(done.stdout)["findings"])
        ours = sorted((f["code"], f["severity"]) for f in report(file)["findings"])
        say(theirs == ours and done.returncode == code,
            f"program, {name}.pdf: exit {done.returncode}, {len(theirs)} findings")


def others(folder):
    elsewhere = made_elsewhere(folder)
    counts = []
    for name in elsewhere:
        with pikepdf.open(name) as pdf:
            counts.append(len(pdf.pages) == report(name)["pages"])
    say(all(counts), f"files made elsewhere: {len(counts)}, as many pages as qpdf counts")
    found = elsewhere + sorted({
        os.path.realpath(p)
        for pattern in ("/usr/share/**/*.pdf", "/usr/lib/python3/**/*.pdf", os.path.expanduser("~/.cargo/registry/src/*/*/**/*.pdf"))
        for p in glob.glob(pattern, recursive=True)
    })
    done, slowest = 0, 0
    for name in found:
        start = time.time()
        try:
            report(name, "--press", "coated", limit=300)
            done += 1
        except Exception as error:  # whatever it is, it is a failure
            say(False, f"a file of others: {os.path.basename(name)}: {error}")
        slowest = max(slowest, time.time() - start)
    say(done == len(found), f"files of others: {done} of {len(found)} read, the slowest in {slowest:.1f} s")

    # Sound files with bytes changed at random: whatever comes out, it comes soon and in one piece.
    chance = random.Random(3)
    sound = [p for p in glob.glob(os.path.join(folder, "*.pdf")) if 200 < os.path.getsize(p) < 300_000]
    count, broken = 0, 0
    for name in sorted(sound):
        whole = bytearray(open(name, "rb").read())
        for _ in range(4):
            data = bytearray(whole)
            for _ in range(chance.randint(1, 40)):
                data[chance.randrange(len(data))] = chance.randrange(256)
            spoilt = os.path.join(folder, "spoilt.bin")
            open(spoilt, "wb").write(data)
            count += 1
            try:
                report(spoilt, "--ink", "300", limit=60)
            except Exception as error:
                broken += 1
                say(False, f"spoilt {os.path.basename(name)}: {error}")
    say(broken == 0, f"spoilt files: {count - broken} of {count} answered")


def demo():
    book = os.environ.get("DEMO")
    file = os.path.join(book, "press", "interior.pdf") if book else None
    if not file or not os.path.exists(file):
        print("skip  demo book: DEMO is not set, or has no press/interior.pdf")
        return
    read = report(file, "--press", "coated", limit=600)
    stops = [f for f in read["findings"] if f["severity"] == "stop"]
    say(not stops, f"demo book: {read['pages']} pages, no stop ({[f['message'] for f in stops][:3]})")
    with pikepdf.open(file) as pdf:
        say(len(pdf.pages) == read["pages"], "demo book: as many pages as qpdf counts")
    inky = sorted(read["per_page"], key=lambda page: -page["ink_most"])[:4]
    for page in inky:
        compare_ink(f"demo book, page {page['page']}", file, page["page"], tolerance=2.0)


def main():
    with tempfile.TemporaryDirectory() as folder:
        awkward(folder)
        ink(folder)
        same_by_program(folder)
        others(folder)
    demo()
    print(f"{len(failures)} failed" if failures else "all held")
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main())
