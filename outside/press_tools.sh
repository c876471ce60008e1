#!/usr/bin/env bash
# Our press files, held against four readers that we did not write.
#
# qpdf: syntax and every stream of small files. poppler: boxes, fonts embedded and subset, words that
# copy out as they went in. MuPDF: opens and renders each page. Ghostscript: `tiffsep` of a page at one
# dot a sample gives the very C, M, Y, K bytes that went in (lossless), black words on a picture
# leave the other three plates alone, and bare words knock out of all four.
#
# Environment: EXAMPLES, a folder with the built example `press_fixture` (built here if unset);
# DEMO, a finished demo book folder (its press files are opened too, if it is there).
set -uo pipefail
cd "$(dirname "$0")/.."
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
failed=0
say() { # exit code, what
  if [ "$1" -eq 0 ]; then echo "ok    $2"; else echo "FAIL  $2"; failed=1; fi
}

if [ -x "${EXAMPLES:-}/press_fixture" ]; then
  "$EXAMPLES/press_fixture" "$work" || { echo "FAIL  fixtures are written"; exit 1; }
else
  cargo run -q -p press --example press_fixture -- "$work" || { echo "FAIL  fixtures are written"; exit 1; }
fi

for name in interior cover plates; do
  qpdf --check "$work/$name.pdf" >"$work/qpdf.txt" 2>&1
  code=$?
  [ "$code" -ne 0 ] && cat "$work/qpdf.txt"
  say "$code" "qpdf finds no error in $name.pdf"
done

pdfinfo -box "$work/interior.pdf" >"$work/info.txt"
grep -q '^Pages: *7$' "$work/info.txt"; say $? "poppler counts 7 pages"
grep -q '^Title: *The Harbour Before Light$' "$work/info.txt"; say $? "poppler reads the title"
grep -q '^PDF version: *1.6$' "$work/info.txt"; say $? "poppler reads version 1.6"
# 200 × 240 mm and 3 mm more on each side, at 72 points to 25.4 mm.
grep -q '^MediaBox: *0.00 *0.00 *583.94 *697.32$' "$work/info.txt"; say $? "media box 206 × 246 mm"
grep -q '^BleedBox: *0.00 *0.00 *583.94 *697.32$' "$work/info.txt"; say $? "bleed box 206 × 246 mm"
grep -q '^TrimBox: *8.50 *8.50 *575.43 *688.82$' "$work/info.txt"; say $? "trim box 200 × 240 mm inside it"

for name in interior cover; do
  pdffonts "$work/$name.pdf" 2>"$work/errors.txt" | tail -n +3 >"$work/fonts.txt"
  [ -s "$work/fonts.txt" ] && ! [ -s "$work/errors.txt" ] \
    && awk '{ if ($(NF-4) != "yes" || $(NF-3) != "yes" || $(NF-2) != "yes") bad = 1 } END { exit bad }' "$work/fonts.txt"
  say $? "every typeface of $name.pdf is embedded, a subset, and has its letters: $(wc -l <"$work/fonts.txt") of them"
done

pdftotext "$work/interior.pdf" "$work/words.txt"
copied() { tr -s ' \n\f' '   ' <"$work/words.txt" | grep -qF -- "$1"; say $? "copies out: $1"; }
copied "The Harbour Before Light"
copied "“It doesn’t look like the sea,” my aunt said"
copied "the affairs of an unaffiliated harbourmaster shuffling about below."
copied "The office on the first floor, 1867 in iron figures above its door,"
copied "https://example.org/harbour-before-light/colophon?print=first#errata"
pdftotext "$work/cover.pdf" - | tr -s ' \n\f' '   ' | grep -q "The Harbour Before Light"
say $? "copies out of the turned spine and the cover"

for name in interior cover plates; do
  mutool draw -q -F pam -r 20 -o /dev/null "$work/$name.pdf" 2>"$work/errors.txt"
  code=$?
  # Debian builds MuPDF without colour management, and it says so of every profile.
  grep -v 'ICC support is not available' "$work/errors.txt" && code=1
  say "$code" "MuPDF renders $name.pdf without a word of complaint"
done

plates() { # file, page, resolution, prefix
  gs -q -dSAFER -dBATCH -dNOPAUSE -sDEVICE=tiffsep -dFirstPage="$2" -dLastPage="$2" -r"$3" \
    -dTextAlphaBits=1 -dGraphicsAlphaBits=1 -dUseFastColor=false \
    -sOutputFile="$work/$4%d.tif" "$1" 2>"$work/errors.txt"
}
plates "$work/plates.pdf" 1 72 exact; say $? "Ghostscript makes plates of the lossless page"
plates "$work/plates.pdf" 2 72 close; say $? "Ghostscript makes plates of the JPEG page"
python3 - "$work" <<'PY'
import glob, sys
import numpy as np
from PIL import Image
work = sys.argv[1]
width, height = map(int, open(f"{work}/plates.txt").read().split())
bad = False
# Quality 95 without subsampling: a smooth picture comes back within a few steps of 255.
for prefix, samples, most in [("exact", "plates.raw", 0), ("close", "plates_jpeg.raw", 6)]:
    raw = np.fromfile(f"{work}/{samples}", np.uint8).reshape(height, width, 4).astype(int)
    for index, ink in enumerate(["Cyan", "Magenta", "Yellow", "Black"]):
        [path] = glob.glob(f"{work}/{prefix}*({ink}).tif")
        # A plate is white where there is no ink.
        found = 255 - np.asarray(Image.open(path).convert("L")).astype(int)
        off = np.abs(found - raw[..., index]) if found.shape == (height, width) else np.array([999])
        good = off.max() <= most and raw[..., index].std() > 3
        bad |= not good
        print(f"{'ok   ' if good else 'FAIL '} {prefix} {ink}: off by {off.max()} of 255 at most, {most} allowed")
sys.exit(bad)
PY
[ $? -eq 0 ] || failed=1

plates "$work/interior.pdf" 3 150 over
plates "$work/cover.pdf" 1 150 knock
python3 - "$work" <<'PY'
import glob, sys
import numpy as np
from PIL import Image
work = sys.argv[1]
def plate(prefix, ink):
    [path] = glob.glob(f"{work}/{prefix}*({ink}).tif")
    return 255 - np.asarray(Image.open(path).convert("L")).astype(int)
def say(good, what):
    print(("ok    " if good else "FAIL  ") + what)
    return not good
# Page 3: a picture whose black never passes 75 percent, and words in solid black over it.
words = plate("over", "Black") == 255
bad = say(words.sum() > 300, f"black words are solid on the black plate: {words.sum()} dots")
# The picture is smooth: where a word lies, another ink goes on as it is beside the word.
for ink in ["Cyan", "Magenta", "Yellow"]:
    found = plate("over", ink)
    steps = np.abs(np.diff(found, axis=0))
    under = steps[words[1:] | words[:-1]].max()
    bad |= say(under <= 12, f"{ink} goes on under them: largest step {under} of 255")
# The cover: bare words over a ground that has ink on all four plates.
for ink in ["Cyan", "Magenta", "Yellow", "Black"]:
    # The spine lies between 203 and 217 mm from the sheet's left edge.
    dots = 150 / 25.4
    spine = plate("knock", ink)[int(20 * dots) : int(230 * dots), int(204 * dots) : int(216 * dots)]
    clear = (spine == 0).sum()
    bad |= say(clear > 500, f"{ink}: bare words on the spine knock out {clear} dots")
sys.exit(bad)
PY
[ $? -eq 0 ] || failed=1

for file in "${DEMO:-/nowhere}"/press/*.pdf; do
  [ -f "$file" ] || continue
  # `--check` unpacks every picture, so a large book is only listed here.
  if [ "$(stat -c %s "$file")" -lt 30000000 ]; then
    qpdf --check "$file" >/dev/null 2>&1; say $? "qpdf finds no error in the demo's $(basename "$file")"
  else
    qpdf --show-npages "$file" >/dev/null 2>"$work/errors.txt" && ! [ -s "$work/errors.txt" ]
    say $? "qpdf opens the demo's $(basename "$file") without a warning (too large to unpack here)"
  fi
  pdffonts "$file" | tail -n +3 | awk '{ if ($(NF-4) != "yes") bad = 1 } END { exit bad }'
  say $? "all typefaces of the demo's $(basename "$file") are embedded"
done
exit "$failed"
