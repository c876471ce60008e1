#!/bin/sh
# Makes the built-in press conditions' profiles from openly licensed characterisation sets.
#
# Needs Debian's `argyll` (colprof) and `icc-profiles-free` (the .ti3 sets). Writes three profiles
# and their logs into the folder given, by default the current one. Takes about four minutes of
# one core. A rerun differs from the committed files in the creation date alone.
set -eu
out=${1:-.}
sets=/usr/share/color/icc
mkdir -p "$out"

make() { # set, ink limit in percent, description, copyright, name
  cp "$sets/$1.ti3" "$out/$5.ti3"
  # -qm -bm   medium quality in both directions
  # -nc       leave the measured data out of the profile: it is named, and would double the size
  # -l, -L    total ink and black in percent
  # -kp       black: none in white, from a tenth of the way to black on, held back in the light
  #           half so that black dots do not grain skies and skin, all of it in the depths
  # -S        the perceptual table compresses the gamut of sRGB
  # -cmt -dpp seen on a monitor, then as a practical print
  colprof -v -qm -bm -nc -l"$2" -L95 -kp 0 0.1 0.95 1 0.6 \
    -S /usr/share/color/argyll/ref/sRGB.icm -cmt -dpp \
    -A "Foredge" -M "$3" -D "$3" -C "$4" -O "$out/$5.icc" "$out/$5" >"$out/$5.log" 2>&1
  rm "$out/$5.ti3"
  grep 'Profile check complete' "$out/$5.log"
}

fogra='characterisation data (Fogra, www.fogra.org; zlib licence as packaged in icc-profiles-free). May be distributed freely.'
make FOGRA39L 300 "Coated offset, from FOGRA39L" "Made from the FOGRA39L $fogra" coated
make TR006 300 "Coated offset, Americas, from TR 006" \
  "Made from ANSI/CGATS/GRACoL TR 006-2007 characterization data. May be distributed freely if TR 006 is named as the source." \
  coated-americas
make FOGRA29L 280 "Uncoated offset, from FOGRA29L" "Made from the FOGRA29L $fogra" uncoated
