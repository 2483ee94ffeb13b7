// Package staging works on the demo scene as a person would: it records frames of
// it in a folder and makes a study of them, a Take. The command line's demo begins
// with one, and so do the tests here that say how good a method is.
//
//	frames   frames/000001.png and on, each with truth/skin.000001.png and the
//	         like for sand and water
//	mattes   skin, sand, water
//	dabs     three to keep and three to drop for each matte, on the first, middle
//	         and last frame; over a clip the skin has six and up to nine
//	masks    outlines about the skin's parts, with up to six keys, and a line above
//	         the open sand, with a key on each frame that has dabs; at a key what
//	         is kept lies 8 pixels and more within
//	base     from the grey slate and from open water
//	pick     fitted to the dabs
//
// The truth stands in for a person's eyes: it says where dabs and masks go. The fit
// knows nothing of it. Score and ScoreClip compare mattes with it.
package staging
