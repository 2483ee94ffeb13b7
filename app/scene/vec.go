package scene

import "math"

// vec is a point or a direction in the scene, in metres: X to the right, Y up,
// Z away from the camera; the sand lies at Y = 0.
type vec struct{ X, Y, Z float64 }

func (a vec) add(b vec) vec              { return vec{a.X + b.X, a.Y + b.Y, a.Z + b.Z} }
func (a vec) sub(b vec) vec              { return vec{a.X - b.X, a.Y - b.Y, a.Z - b.Z} }
func (a vec) mul(k float64) vec          { return vec{a.X * k, a.Y * k, a.Z * k} }
func (a vec) along(d vec, k float64) vec { return vec{a.X + d.X*k, a.Y + d.Y*k, a.Z + d.Z*k} }
func (a vec) dot(b vec) float64          { return a.X*b.X + a.Y*b.Y + a.Z*b.Z }
func (a vec) length() float64            { return math.Sqrt(a.dot(a)) }
func (a vec) unit() vec                  { return a.mul(1 / a.length()) }
func (a vec) mix(b vec, u float64) vec   { return a.add(b.sub(a).mul(u)) }

func (a vec) cross(b vec) vec {
	return vec{a.Y*b.Z - a.Z*b.Y, a.Z*b.X - a.X*b.Z, a.X*b.Y - a.Y*b.X}
}

// A frame3 is three directions at right angles.
type frame3 struct{ x, y, z vec }

// local returns d in the directions of f.
func (f frame3) local(d vec) vec { return vec{d.dot(f.x), d.dot(f.y), d.dot(f.z)} }
