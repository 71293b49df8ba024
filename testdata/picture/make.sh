#!/bin/sh
# Makes the small pictures of this folder anew. Needs ImageMagick 6, webp,
# libheif-examples, libavif-bin, libtiff-tools and exiftool (Debian 12).
# The files are kept, so that the tests need none of these; a newer encoder may
# give other bytes, which is fine as long as the tests still hold.
set -e
cd "$(dirname "$0")"

# Four quadrants of known sRGB colours, 64 × 48.
convert -size 32x24 \
  \( xc:'rgb(200,60,40)' xc:'rgb(40,140,70)' +append \) \
  \( xc:'rgb(30,60,160)' xc:'rgb(230,220,200)' +append \) \
  -append -depth 8 -strip PNG24:quad.png

convert quad.png -depth 16 PNG48:quad_16.png
convert quad.png -type Palette PNG8:quad_palette.png
convert quad.png -interlace PNG PNG24:quad_interlaced.png
convert quad.png -colorspace Gray -depth 8 PNG8:quad_grey.png
# The right half is transparent with magenta below it.
convert quad.png -fill magenta -draw 'rectangle 32,0 63,47' \
  \( -size 64x48 xc:black -fill white -draw 'rectangle 0,0 31,47' \) \
  -alpha off -compose CopyOpacity -composite PNG32:quad_alpha.png

convert quad.png -sampling-factor 1x1 -quality 95 quad.jpg
convert quad.png -sampling-factor 2x2 -quality 90 quad_420.jpg
convert quad.png -sampling-factor 1x1 -quality 95 -interlace JPEG quad_progressive.jpg
convert quad.png -colorspace Gray -quality 95 quad_grey.jpg
convert quad.png -colorspace CMYK -quality 95 quad_cmyk.jpg

cwebp -quiet -lossless quad.png -o quad_lossless.webp
cwebp -quiet -q 95 quad.png -o quad_lossy.webp
cwebp -quiet -q 95 quad_alpha.png -o quad_lossy_alpha.webp
dwebp -quiet quad_lossy.webp -o quad_lossy.webp.png
convert quad.png -flop flop.png
img2webp -o quad_animated.webp -lossy -q 95 quad.png flop.png >/dev/null 2>&1
img2webp -o quad_animated_lossless.webp -lossless quad.png flop.png >/dev/null 2>&1

avifenc -l quad.png quad.avif >/dev/null
avifenc -d 10 -y 444 -q 95 quad.png quad_10.avif >/dev/null 2>&1 || avifenc -d 10 -y 444 --min 0 --max 4 quad.png quad_10.avif >/dev/null
avifenc --irot 1 -l quad.png quad_irot.avif >/dev/null
avifenc --imir 0 -l quad.png quad_imir0.avif >/dev/null
avifenc --imir 1 -l quad.png quad_imir1.avif >/dev/null
avifenc --irot 3 --imir 1 -l quad.png quad_irot_imir.avif >/dev/null
avifenc -l quad_alpha.png quad_alpha.avif >/dev/null
avifenc --cicp 12/13/0 -l quad.png quad_p3.avif >/dev/null

# HEIC three times as large: the decoder wants at least 128 pixels a side.
convert quad.png -sample 192x144 PNG24:large.png
convert large.png -depth 16 PNG48:large_16.png
heif-enc -q 95 -p chroma=444 large.png -o quad.heic >/dev/null
heif-enc -q 95 -b 10 -p chroma=420 large_16.png -o quad_10.heic >/dev/null
heif-enc -q 95 -p chroma=420 large.png -o quad_420.heic >/dev/null

convert quad.png quad.gif
convert -delay 10 quad.png flop.png -loop 0 quad_animated.gif

convert quad.png -compress none quad.tif
convert quad.png -compress LZW -define tiff:predictor=2 quad_lzw.tif
convert quad.png -compress Zip -depth 16 quad_16.tif
convert quad.png -endian MSB -compress none quad_msb.tif
convert quad_alpha.png -compress LZW quad_alpha.tif
convert quad.png -colorspace CMYK -compress none quad_cmyk.tif
convert quad.png -compress JPEG quad_jpeg.tif
convert quad.png -orient RightTop -compress LZW quad_orient6.tif
tiffcp -t -w 16 -l 16 quad.tif quad_tiled.tif
convert quad.png flop.png -compress LZW quad_pages.tif

convert quad.png BMP3:quad.bmp
convert quad.png -type Palette BMP3:quad_8.bmp
convert quad_alpha.png -define bmp:format=bmp4 quad_32.bmp

# Orientation written by exiftool, in both byte orders.
cp quad.jpg quad_exif6.jpg
exiftool -q -overwrite_original -n -ExifByteOrder=II -Orientation=6 quad_exif6.jpg
cp quad.jpg quad_exif8.jpg
exiftool -q -overwrite_original -n -ExifByteOrder=MM -Orientation=8 quad_exif8.jpg
cp quad.png quad_exif3.png
exiftool -q -overwrite_original -n -Orientation=3 quad_exif3.png
cp quad_lossless.webp quad_exif5.webp
exiftool -q -overwrite_original -n -Orientation=5 quad_exif5.webp
# A camera in its wide-gamut setting writes no profile, only these tags.
cp quad.jpg quad_r03.jpg
exiftool -q -overwrite_original -n -ColorSpace=65535 -InteropIndex=R03 quad_r03.jpg

# HEIC whose EXIF asks for a turn that its container does not: it has no say.
convert large.png -sampling-factor 1x1 -quality 98 large.jpg
exiftool -q -overwrite_original -n -Orientation=6 large.jpg
heif-enc -q 95 -p chroma=444 large.jpg -o quad_exif6.heic >/dev/null

rm -f flop.png large.png large_16.png large.jpg
