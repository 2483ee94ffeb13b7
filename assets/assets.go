// Package assets holds the files built into the program.
package assets

import _ "embed"

// SamplePNG is the sample frame: the demo scene's frame 1 of seed 1, 1280 x 720,
// 8-bit sRGB without alpha. The test of app/sample keeps it in step.
//
//go:embed sample.png
var SamplePNG []byte
