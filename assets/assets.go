// Package assets holds the files built into the program.
package assets

import _ "embed"

// SamplePNG is the sample frame: the demo scene's frame 1 of seed 1, 1280 x 720,
// 8-bit sRGB without alpha. The test of app/scene keeps it in step.
//
//go:embed sample.png
var SamplePNG []byte

// SampleStudy is a study of the sample frame, in the file form of app/study:
// water taken out, mattes of skin, sand and water fitted to dabs. Its clip is
// named by the file name alone. A test of app/scene/staging keeps it in step.
//
//go:embed sample.halocline
var SampleStudy []byte

// SampleSkinPNG is the sample frame's true matte of skin, 8-bit grey, linear
// coverage. The same test keeps it up to date.
//
//go:embed sample-skin.png
var SampleSkinPNG []byte

// Icon is the program's mark, an SVG picture: a soft border between two waters.
//
//go:embed icon.svg
var Icon []byte
