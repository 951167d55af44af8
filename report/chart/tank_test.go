package chart

import (
	"math"
	"testing"
)

// TestSurface holds the level in a section to the area of a circular segment, which is
// that of an ellipse as well: (acos(1-2h) - 2(1-2h)√(h-h²)) / π of the whole for a level
// at the share h of the height.
func TestSurface(t *testing.T) {
	for _, o := range []Outline{{Shape: "circle", Width: 60}, {Shape: "ellipse", Width: 90, Height: 60}, {Shape: "ellipse", Width: 90, Height: 60, Roll: 90}, {}} {
		shell := o.shell()
		low, high := bounds(shell)
		for _, h := range []float64{0.05, 0.42, 0.5, 0.9} {
			share := (math.Acos(1-2*h) - 2*(1-2*h)*math.Sqrt(h-h*h)) / math.Pi
			got := (high.y - surface(shell, share)) / (high.y - low.y)
			if math.Abs(got-h) > 0.005 { // the outline is a polygon of 48 sides
				t.Errorf("%+v: %.3f full stands at %.4f of the height, want %.4f", o, share, got, h)
			}
		}
	}
}

// TestShells wants each outline as broad and as high as it was measured, upright and
// turned by a right angle, and its area between that of the rhombus and the rectangle.
func TestShells(t *testing.T) {
	for _, shape := range []string{"ellipse", "obround", "rounded", "four-arc"} {
		for _, roll := range []float64{0, 90, 180, 270} {
			shell := Outline{Shape: shape, Width: 96, Height: 60, Radius: 20, Roll: roll}.shell()
			low, high := bounds(shell)
			w, h := high.x-low.x, high.y-low.y
			if math.Mod(roll, 180) == 90 {
				w, h = h, w
			}
			if math.Abs(w-96) > 0.3 || math.Abs(h-60) > 0.3 {
				t.Errorf("%s at %g°: %.2f by %.2f, want 96 by 60", shape, roll, w, h)
			}
			if a := area(shell); a <= 96*60/2 || a >= 96*60 {
				t.Errorf("%s at %g°: area %.0f, want between %d and %d", shape, roll, a, 96*60/2, 96*60)
			}
		}
	}
}

// TestPace wants every moment in a column.
func TestPace(t *testing.T) {
	p := told(200, 3)
	for _, width := range []float64{Narrow, Wide} {
		step := p.step(p.Moments[len(p.Moments)-1].Sub(p.Moments[0]), width-40)
		_, n := p.counts(step)
		sum := 0.0
		for _, v := range n {
			sum += v
		}
		if sum != 200 || float64(len(n))*5 > width {
			t.Errorf("at %g: %g moments in %d columns of %s, want 200 in columns that can be seen", width, sum, len(n), step)
		}
	}
}
