// Package scene draws the demo scene: a volunteer of a marine survey lays a
// transect tape across rippled sand between seagrass, seen through some metres
// of coastal water, with the true mattes of skin, sand and water, and of the volunteer whole.
//
// The scene is worked out in 31 bands from 400 to 700 nm. Daylight loses what
// Jerlov's water types take on the way down; what a surface throws back,
// by published reflectances where there are any, loses the rest on its way to
// the camera, and the water adds its own light. Then come the caustics, the
// lens, the movement while the shutter is open, the sensor and its noise, and 8
// bits. All of it is fixed by a seed and a frame's number; no frame needs another.
//
//	seed      skin, sand, depth, water, pose, clothes, leaves, noise
//	frame     from 1, 25 a second, 72 to a clip: the volunteer swims, turns about
//	          and reaches on, the camera drifts and falls behind, the swell
//	          deepens the water, the net of light runs
//	truth     the share of a pixel's area, after the blur of lens and motion
//
// Haze takes the sand from its matte only where it hides it: as the
// transmission of green light falls from 0.5 to 0.2 the sand's share falls
// smoothly from 1 to 0, and the water has it.
//
// The scene is hard in the right way: one channel alone separates skin from sand
// with an area under the ROC curve of 0.85 to 0.92, a plane in Lab with 0.96 to
// 0.99, for each of the seeds 1 to 20. It is invented, not measured: what it
// shows about a method says nothing about real footage by itself.
//
// Pictures are worked out in float64; whatever goes through math.Exp is rounded
// first, so that one build gives the same bytes on every processor. A build that
// fuses multiplications and additions may differ in the last bit of a matte and,
// once in very many pixels, by 1/255 in a picture.
package scene
