package tank

import (
	"math"
	"os"
	"testing"

	"tankside/events/quantity"
	"tankside/projections/calc/published"
)

// section builds the cross-section of a row.
func section(r published.Row) Section {
	in := func(name string) quantity.Inches { return quantity.Inches(r.Num(name)) }
	var s Section
	var err error
	switch r.Text("section") {
	case "circle":
		s, err = Circle(in("d"))
	case "ellipse":
		s, err = Ellipse(in("w"), in("h"))
	case "obround":
		s, err = Obround(in("w"), in("h"))
	case "rounded rectangle":
		s, err = RoundedRectangle(in("w"), in("h"), in("r"))
	case "oval":
		s, err = Oval(in("w"), in("h"), in("r"))
	}
	r.Ok(0, err)
	return s
}

// tank builds the tank of a row; what the row leaves out is flat, level and not
// stamped.
func tank(r published.Row) Tank {
	t := Tank{Section: section(r), Length: quantity.Inches(r.Or("l", 100)), Capacity: quantity.Gallons(r.Or("capacity", 0))}
	shapes := map[string]Shape{"conical": Conical, "ellipsoidal": Ellipsoidal, "spherical": Spherical, "torispherical": Torispherical}
	head := Head{Depth: quantity.Inches(r.Or("a", 0)), Dish: r.Or("dish", 0), Knuckle: r.Or("knuckle", 0)}
	for name, shape := range shapes {
		if r.Has("heads", name) || r.Has("front", name) {
			head.Shape = shape
			t.Front = head
		}
		if r.Has("heads", name) {
			t.Rear = head
		}
	}
	return t
}

func lying(r published.Row) *Lying {
	l, err := tank(r).Lying(Lie{quantity.Degrees(r.Or("roll", 0)), quantity.Degrees(r.Or("pitch", 0))})
	r.Ok(0, err)
	return l
}

// volumes dips the tank at every depth of the row and checks each volume back.
func volumes(r published.Row) (out []float64) {
	l := lying(r)
	for _, depth := range r.List("depth") {
		d := Dip{Depth: quantity.Inches(depth), Along: quantity.Inches(r.Or("along", 0))}
		v, err := l.Volume(d)
		out = append(out, r.Ok(float64(v), err))
		back, err := l.Depth(v, d)
		if math.Abs(r.Ok(float64(back), err)-depth) > 1e-6 {
			return nil
		}
	}
	return out
}

func scaled(v []float64, by float64) []float64 {
	for i := range v {
		v[i] *= by
	}
	return v
}

var checks = map[string]func(published.Row) []float64{
	"volume":       volumes,
	"cubic inches": func(r published.Row) []float64 { return scaled(volumes(r), cubicInches) },
	"litres":       func(r published.Row) []float64 { return scaled(volumes(r), quantity.LitresPerGallon) },
	"share":        func(r published.Row) []float64 { return scaled(volumes(r), 100/float64(lying(r).Full())) },
	"full":         func(r published.Row) []float64 { return []float64{float64(lying(r).Full())} },
	"cubic inches, full": func(r published.Row) []float64 {
		return []float64{float64(lying(r).Full()) * cubicInches}
	},
	"litres, full": func(r published.Row) []float64 {
		return []float64{float64(lying(r).Full()) * quantity.LitresPerGallon}
	},
	"area":   func(r published.Row) []float64 { return []float64{section(r).Area()} },
	"gal/in": func(r published.Row) []float64 { return []float64{section(r).Area() / cubicInches} },
	"surface": func(r published.Row) []float64 {
		v, err := lying(r).PerInch(Dip{Depth: quantity.Inches(r.Num("depth"))})
		return []float64{r.Ok(float64(v), err)}
	},
	"height": func(r published.Row) []float64 {
		low, high := lying(r).section.extent()
		return []float64{high - low}
	},
	"area at share": func(r published.Row) []float64 {
		s := lying(r).section
		low, high := s.extent()
		return []float64{s.area(low + r.Num("share")*(high-low))}
	},
	"one head": func(r published.Row) (out []float64) { // the tank has no shell, only a head
		l := lying(r)
		v := l.gallons(l.section.levels[0] + r.Num("depth"))
		return []float64{float64(v)}
	},
	"standing": func(r published.Row) (out []float64) {
		for _, depth := range r.List("depth") {
			v, err := tank(r).Standing(quantity.Inches(depth))
			out = append(out, r.Ok(float64(v), err))
		}
		return out
	},
	"crown of an oval": func(r published.Row) []float64 {
		belly := section(r).outline[0]
		return []float64{belly.u.x, (belly.b - belly.a) / 2 * 180 / math.Pi}
	},
}

func TestPublished(t *testing.T) {
	published.Hold(t, os.ReadFile, "tank.csv", 52, checks)
}
