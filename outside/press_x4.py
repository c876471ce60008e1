#!/usr/bin/env python3
"""The keys of PDF/X-4 in our press files, looked up by a program that shares no code with ours.

Held against: the list of demands on PDF/X-4 (ISO 15930-7) as known from public material and, where
marked so, from memory; the text of the standard was not at hand. Read by pikepdf (qpdf), fonts by
fontTools. So a pass says 'built to our list', not 'certified'. At the end the checker itself is held
against files with one fault each, all of which it must find.

Environment: EXAMPLES, a folder with the built example `press_fixture` (built here if unset);
DEMO, a finished demo book folder (its press files are looked at too, if it is there).
"""

import io
import os
import re
import struct
import subprocess
import sys
import tempfile
import xml.etree.ElementTree as ElementTree
from pathlib import Path

import pikepdf
from fontTools.cffLib import CFFFontSet
from pikepdf import Array, Dictionary, Name, Stream

ROOT = Path(__file__).resolve().parent.parent
NAMESPACES = {
    "rdf": "http://www.w3.org/1999/02/22-rdf-syntax-ns#",
    "dc": "http://purl.org/dc/elements/1.1/",
    "xmp": "http://ns.adobe.com/xap/1.0/",
    "xmpMM": "http://ns.adobe.com/xap/1.0/mm/",
    "pdf": "http://ns.adobe.com/pdf/1.3/",
    "pdfxid": "http://www.npes.org/pdfx/ns/id/",
}


def faults(path):
    """Everything in the file that the list forbids or misses, as sentences."""
    found = []

    def must(good, what):
        if not good:
            found.append(what)

    with open(path, "rb") as file:
        head = file.read(32)
    lines = head.split(b"\n")
    must(lines[0].strip() == b"%PDF-1.6", f"header {lines[0]!r}")
    mark = lines[1]
    must(mark[:1] == b"%" and sum(b > 127 for b in mark[1:5]) == 4, "no binary mark")

    with pikepdf.open(path) as pdf:
        trailer, root = pdf.trailer, pdf.Root
        must(not pdf.is_encrypted, "encrypted")
        must(
            "/ID" in trailer and len(trailer.ID) == 2 and all(len(bytes(i)) >= 16 for i in trailer.ID),
            "no file ID of two parts",
        )
        version = str(root.get("/Version", "/1.6"))
        must(version == "/1.6", f"catalog says version {version}")
        for key in ["/AA", "/OpenAction", "/AcroForm", "/Collection", "/Requirements", "/XFA", "/Perms"]:
            must(key not in root, f"catalog has {key}")
        if "/Names" in root:
            for key in ["/JavaScript", "/EmbeddedFiles", "/AlternatePresentations"]:
                must(key not in root.Names, f"catalog names {key}")

        intent_profile(root, must)
        metadata(pdf, must)
        for number, page in enumerate(pdf.pages, 1):
            look_at_page(number, page.obj, must)
        must(len(pdf.pages) > 0, "no page")

        for object_ in pdf.objects:
            if isinstance(object_, (Dictionary, Stream)):
                look_at_object(object_, must)
    return found


def intent_profile(root, must):
    intents = [i for i in root.get("/OutputIntents", []) if i.get("/S") == Name("/GTS_PDFX")]
    must(len(intents) == 1, f"{len(intents)} output intents for PDF/X")
    if len(intents) != 1:
        return
    intent = intents[0]
    must(str(intent.get("/OutputConditionIdentifier", "")).strip() != "", "no OutputConditionIdentifier")
    # From memory: wanted where the condition is not registered.
    must("/RegistryName" in intent or str(intent.get("/Info", "")).strip(), "neither RegistryName nor Info")
    profile = intent.get("/DestOutputProfile")
    must(isinstance(profile, Stream), "the profile is not embedded")
    if not isinstance(profile, Stream):
        return
    data = profile.read_bytes()
    must(data[36:40] == b"acsp", "the profile is no ICC profile")
    must(data[12:16] == b"prtr", f"the profile is of class {data[12:16]!r}")
    must(struct.unpack(">I", data[:4])[0] == len(data), "the profile's length is not what it says")
    parts = {b"CMYK": 4, b"RGB ": 3, b"GRAY": 1}.get(data[16:20])
    must(parts is not None and profile.get("/N") == parts, f"N is {profile.get('/N')} for {data[16:20]!r}")


def metadata(pdf, must):
    root, info = pdf.Root, pdf.trailer.get("/Info", Dictionary())
    packet = root.get("/Metadata")
    must(isinstance(packet, Stream), "no XMP")
    if not isinstance(packet, Stream):
        return
    must("/Filter" not in packet, "XMP is compressed")
    must(packet.get("/Type") == Name.Metadata and packet.get("/Subtype") == Name.XML, "XMP's type")
    text = packet.read_raw_bytes().decode("utf-8")
    must(text.startswith("<?xpacket begin="), "XMP has no packet header")
    must(re.search(r"<\?xpacket end=[\"'][rw][\"']\?>\s*$", text), "XMP has no packet trailer")
    tree = ElementTree.fromstring(re.sub(r"<\?xpacket.*?\?>", "", text))

    def value(path):
        found = tree.findall(f".//{path}", NAMESPACES)
        if len(found) != 1:
            return None
        return "".join(found[0].itertext()).strip()

    must(value("pdfxid:GTS_PDFXVersion") == "PDF/X-4", "GTS_PDFXVersion is not PDF/X-4")
    must(value("pdf:Trapped") in ("True", "False"), "XMP does not say whether it is trapped")
    dates = {key: value(f"xmp:{key}") for key in ("CreateDate", "ModifyDate", "MetadataDate")}
    for key, date in dates.items():
        must(date and re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(Z|[+-]\d\d:\d\d)", date), f"XMP {key} is {date}")
    for key in ("DocumentID", "VersionID", "RenditionClass"):
        must(value(f"xmpMM:{key}"), f"XMP has no {key}")
    must(value("dc:title"), "XMP has no title")

    # Info must agree (from memory).
    must(str(info.get("/Title", "")) == value("dc:title"), "Info and XMP differ in the title")
    must(str(info.get("/Author", "")) == (value("dc:creator") or ""), "Info and XMP differ in the author")
    must(str(info.get("/Trapped", "")).lstrip("/") == value("pdf:Trapped"), "Info and XMP differ in Trapped")
    must(str(info.get("/Producer", "")) == value("pdf:Producer"), "Info and XMP differ in the producer")
    must(str(info.get("/Creator", "")) == value("xmp:CreatorTool"), "Info and XMP differ in the creator")

    def digits(date):
        return re.sub(r"\D", "", date or "")[:14]

    must(digits(str(info.get("/CreationDate", ""))) == digits(dates["CreateDate"]), "Info and XMP differ in the creation date")
    must(digits(str(info.get("/ModDate", ""))) == digits(dates["ModifyDate"]), "Info and XMP differ in the change date")


def box(page, key):
    """A box of the page, by inheritance where that is allowed."""
    at = page
    while at is not None:
        if key in at:
            left, bottom, right, top = (float(side) for side in at[key])
            return left, bottom, right, top
        at = at.get("/Parent") if key in ("/MediaBox", "/CropBox") else None
    return None


def holds(outer, inner):
    return outer[0] <= inner[0] and outer[1] <= inner[1] and outer[2] >= inner[2] and outer[3] >= inner[3]


def look_at_page(number, page, must):
    here = f"page {number}: "
    media, crop, bleed, trim, art = (box(page, f"/{name}Box") for name in ("Media", "Crop", "Bleed", "Trim", "Art"))
    must(media is not None, here + "no MediaBox")
    must((trim is None) != (art is None), here + "must have one of TrimBox and ArtBox")
    final = trim or art
    if media and final:
        must(final[0] < final[2] and final[1] < final[3], here + "the trim has no area")
        must(holds(media, final), here + "the trim is not inside the media box")
        if bleed:
            must(holds(media, bleed) and holds(bleed, final), here + "trim, bleed and media are not nested")
        if crop:
            must(holds(crop, final), here + "the crop box cuts the trim")
    must(page.get("/UserUnit", 1) == 1, here + "UserUnit")
    must("/AA" not in page and "/PresSteps" not in page, here + "actions")
    for annotation in page.get("/Annots", []):
        subtype = annotation.get("/Subtype")
        must(subtype in (Name.PrinterMark, Name.TrapNet), here + f"annotation {subtype}")
    resources = page.get("/Resources", Dictionary())
    look_at_colour(here, page, resources, must)


def look_at_colour(here, page, resources, must):
    """Ours has DeviceCMYK alone; anything that is not covered by the intent is a fault."""
    for name, space in resources.get("/ColorSpace", {}).items():
        kind = space if isinstance(space, Name) else space[0]
        must(kind not in (Name.DeviceRGB, Name.CalRGB), here + f"colour space {name} is {kind}")
    used = set()
    for operands, operator in pikepdf.parse_content_stream(page):
        used.add(str(operator))
        if str(operator) == "Tf":
            must(str(operands[0]) in resources.get("/Font", {}), here + f"no typeface {operands[0]}")
    for operator in ("rg", "RG"):
        must(operator not in used, here + f"device RGB is painted with ({operator})")
    for name, image in resources.get("/XObject", {}).items():
        subtype = image.get("/Subtype")
        must(subtype != Name.PS, here + f"{name} is PostScript")
        if subtype == Name.Image:
            space = image.get("/ColorSpace")
            must(space != Name.DeviceRGB, here + f"{name} is device RGB")
            must("/Alternates" not in image, here + f"{name} has alternates")
            must(not image.get("/Interpolate", False), here + f"{name} is interpolated")
            filters = image.get("/Filter")
            if filters == Name.DCTDecode and space == Name.DeviceCMYK:
                must(jpeg_parts(image.read_raw_bytes()) == 4, here + f"{name} has not four parts")


def jpeg_parts(data):
    """The number of components in a JPEG frame header (ITU-T T.81, B.2.2)."""
    at = 2
    while at + 9 < len(data):
        marker, length = data[at + 1], struct.unpack(">H", data[at + 2 : at + 4])[0]
        if marker in (0xC0, 0xC1, 0xC2):
            return data[at + 9]
        at += 2 + length
    return None


def look_at_object(object_, must):
    if isinstance(object_, Stream):
        must("/F" not in object_, "a stream is kept outside the file")
        filters = object_.get("/Filter", [])
        for name in filters if isinstance(filters, Array) else [filters]:
            must(name not in (Name.LZWDecode, Name.Crypt), f"filter {name}")
        must("/OPI" not in object_ and "/Ref" not in object_, "OPI or a reference XObject")
        must(object_.get("/Subtype2") != Name.PS, "a PostScript form")
    kind = object_.get("/Type")
    must(not (kind == Name.Action or object_.get("/S") in (Name.JavaScript, Name.Launch)), "an action")
    must(kind not in (Name.Filespec, Name.EmbeddedFile), "an embedded file")
    # Graphics states.
    must("/TR" not in object_ or kind not in (Name.ExtGState, None), "a transfer function")
    if kind == Name.ExtGState:
        must(object_.get("/TR2", Name.Default) == Name.Default, "a transfer function")
        must("/HTP" not in object_ and "/HTO" not in object_, "a halftone's phase or origin")
    if kind == Name.Font:
        look_at_font(object_, must)


def look_at_font(font, must):
    name = str(font.get("/BaseFont", font.get("/Name", "?")))
    subtype = font.get("/Subtype")
    if subtype == Name.Type3:
        return
    if subtype == Name.Type0:
        must("/ToUnicode" in font, f"{name} has no way back to letters")
        must(len(font.get("/DescendantFonts", [])) == 1, f"{name} has not one descendant")
        return
    descriptor = font.get("/FontDescriptor", Dictionary())
    programs = [key for key in ("/FontFile", "/FontFile2", "/FontFile3") if key in descriptor]
    must(len(programs) == 1, f"{name} is not embedded")
    if programs != ["/FontFile3"] or subtype != Name.CIDFontType0:
        return
    program = descriptor["/FontFile3"]
    must(program.get("/Subtype") == Name.CIDFontType0C, f"{name} is no bare CFF")
    must(re.match(r"/[A-Z]{6}\+", name), f"{name} is not named as a subset")
    # Widths of the PDF and of the program must agree within one unit of a thousand (from memory).
    fonts = CFFFontSet()
    fonts.decompile(io.BytesIO(program.read_bytes()), None)
    [cff] = fonts.topDictIndex
    order = cff.getGlyphOrder()
    stated = {}
    widths = list(font.get("/W", []))
    while widths:
        first, following = int(widths.pop(0)), widths.pop(0)
        if isinstance(following, Array):
            stated.update({first + n: float(width) for n, width in enumerate(following)})
        else:
            width = float(widths.pop(0))
            stated.update({cid: width for cid in range(first, int(following) + 1)})
    must(len(stated) == len(order), f"{name} states {len(stated)} widths for {len(order)} glyphs")
    for cid, glyph in enumerate(order):
        shape = cff.CharStrings[glyph]
        shape.draw(NoPen())
        off = abs(shape.width - stated.get(cid, -1000))
        must(off <= 1, f"{name}: width of glyph {cid} is {shape.width} in the program and {stated.get(cid)} in the PDF")


class NoPen:
    """Takes an outline and forgets it: only the width is wanted."""

    def moveTo(self, _): ...
    def lineTo(self, _): ...
    def curveTo(self, *_): ...
    def qCurveTo(self, *_): ...
    def closePath(self): ...
    def endPath(self): ...
    def addComponent(self, *_): ...


def no_page_shows_notdef(path):
    """Whether every glyph shown has a number above zero (ours are two bytes each)."""
    with pikepdf.open(path) as pdf:
        for page in pdf.pages:
            for operands, operator in pikepdf.parse_content_stream(page):
                if str(operator) != "TJ":
                    continue
                for item in operands[0]:
                    if isinstance(item, pikepdf.String):
                        shown = bytes(item)
                        if any(shown[at : at + 2] == b"\0\0" for at in range(0, len(shown), 2)):
                            return False
    return True


# One fault each; the checker must find every one.
def spoil_intents(pdf):
    pdf.Root.OutputIntents.append(pdf.Root.OutputIntents[0])


def spoil_profile(pdf):
    pdf.Root.OutputIntents[0].DestOutputProfile.N = 3


def spoil_trim(pdf):
    del pdf.pages[0].obj["/TrimBox"]


def spoil_nesting(pdf):
    left, bottom, right, top = pdf.pages[1].obj.TrimBox
    pdf.pages[1].obj.TrimBox = Array([left, bottom, float(right) + 50, top])


def spoil_trapped(pdf):
    pdf.trailer.Info.Trapped = Name.Unknown


def spoil_title(pdf):
    pdf.trailer.Info.Title = "Another"


def spoil_version(pdf):
    packet = pdf.Root.Metadata.read_bytes().replace(b"PDF/X-4", b"PDF/X-9")
    pdf.Root.Metadata = pdf.make_stream(packet, Type=Name.Metadata, Subtype=Name.XML)


def spoil_colour(pdf):
    pdf.pages[0].contents_add(b"1 0 0 rg 10 10 20 20 re f")


def spoil_font(pdf):
    for object_ in pdf.objects:
        if isinstance(object_, Dictionary) and object_.get("/Type") == Name.FontDescriptor:
            del object_["/FontFile3"]


def spoil_widths(pdf):
    for object_ in pdf.objects:
        if isinstance(object_, Dictionary) and "/W" in object_:
            object_.W[1][1] = float(object_.W[1][1]) + 20


def spoil_script(pdf):
    pdf.Root.OpenAction = Dictionary(S=Name.JavaScript, JS="app.beep()")


def spoil_annotation(pdf):
    note = Dictionary(Type=Name.Annot, Subtype=Name.Text, Rect=Array([50, 50, 70, 70]), Contents="x")
    pdf.pages[0].obj.Annots = Array([pdf.make_indirect(note)])


SPOILERS = [
    spoil_intents, spoil_profile, spoil_trim, spoil_nesting, spoil_trapped, spoil_title, spoil_version,
    spoil_colour, spoil_font, spoil_widths, spoil_script, spoil_annotation,
]  # fmt: skip


def main():
    failed = 0

    def say(good, what):
        nonlocal failed
        failed += not good
        print(("ok    " if good else "FAIL  ") + what, flush=True)

    with tempfile.TemporaryDirectory() as folder:
        folder = Path(folder)
        tool = Path(os.environ.get("EXAMPLES", "/nowhere")) / "press_fixture"
        command = [tool, folder]
        if not tool.exists():
            command = ["cargo", "run", "-q", "-p", "press", "--example", "press_fixture", "--", folder]
        subprocess.run(command, cwd=ROOT, check=True)
        files = sorted(folder.glob("*.pdf"))
        demo = os.environ.get("DEMO")
        if demo:
            # The drawing is no press file.
            files += sorted(path for path in Path(demo).glob("press/*.pdf") if path.name != "drawing.pdf")
        for path in files:
            found = faults(path)
            say(not found, f"{path.parent.name}/{path.name} has the keys of PDF/X-4")
            for fault in found[:20]:
                print(f"      {fault}")
            say(no_page_shows_notdef(path), f"{path.parent.name}/{path.name} shows no missing sign")

        good = folder / "interior.pdf"
        spoilt = folder / "spoilt.pdf"
        for spoil in SPOILERS:
            with pikepdf.open(good) as pdf:
                before = set(faults_after_rewriting(pdf, spoilt))
                spoil(pdf)
                after = set(faults_after_rewriting(pdf, spoilt))
            new = sorted(after - before)
            say(bool(new), f"the checker sees {spoil.__name__}: {'; '.join(new)[:90]}")
    return 1 if failed else 0


def faults_after_rewriting(pdf, path):
    pdf.save(path, static_id=True, compress_streams=False)
    return faults(path)


if __name__ == "__main__":
    sys.exit(main())
