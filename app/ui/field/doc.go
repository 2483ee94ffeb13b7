// Package field shows where a picture's colours lie and where a pick lies among
// them: the field (hue across, saturation or chroma upward), the whole hue
// circle as a ribbon below it, and the lightness column beside it. All of a
// pick's lines stand on them and can be dragged.
//
// A channel has four lines: where its fade before begins, from, to, and where
// its fade after ends. Solid lines bound what has full weight, dashed lines are
// where the weight has reached zero.
//
// A PlaneLine does the same for a pick by plane: where dabs lie across the plane,
// with its level and the ends of its two fades.
//
// Geometry, the laws of a drag and the density are plain functions over screen
// pixels, y downward; the widget joins them.
package field
