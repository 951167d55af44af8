// Package charttest takes the pictures of reports apart for tests: are they well formed,
// do they stay in their frame, and does no word stand on another. Tests alone import it.
package charttest

import (
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"testing"
)

// Width is the breadth of words in pixels at a size of letters.
type Width func(words string, px float64, bold bool) float64

// Text is where a text stands.
type Text struct {
	Words          string
	X1, Y1, X2, Y2 float64 // its box
}

// Picture is what a picture holds.
type Picture struct {
	Width, Height float64
	Texts         []Text
	Names         []string // of elements
	IDs           map[string]int
	Refs          []string
	Said          string // title and description
	Role          string

	width Width
}

// Read takes a picture apart and fails on what is not well formed, on an element that
// is not a plain shape, and on a shape outside the frame.
func Read(t *testing.T, svg string, width Width) (d Picture) {
	t.Helper()
	d.IDs, d.width = map[string]int{}, width
	z := xml.NewDecoder(strings.NewReader(svg))
	var open []xml.StartElement
	for {
		tok, err := z.Token()
		if err == io.EOF {
			return d
		}
		if err != nil {
			t.Fatalf("not well formed: %v", err)
		}
		switch tok := tok.(type) {
		case xml.StartElement:
			open = append(open, tok.Copy())
			d.element(t, tok)
		case xml.EndElement:
			open = open[:len(open)-1]
		case xml.CharData:
			d.words(t, open, string(tok))
		default:
			t.Fatalf("holds %T", tok)
		}
	}
}

func (d *Picture) element(t *testing.T, e xml.StartElement) {
	t.Helper()
	name := e.Name.Local
	d.Names = append(d.Names, name)
	if !strings.Contains(" svg title desc defs pattern g rect line path text ", " "+name+" ") {
		t.Fatalf("holds <%s>", name)
	}
	for _, a := range e.Attr {
		switch a.Name.Local {
		case "id":
			d.IDs[a.Value]++
		case "aria-labelledby":
			d.Refs = append(d.Refs, strings.Fields(a.Value)...)
		case "role":
			d.Role = a.Value
		case "fill":
			if ref, ok := strings.CutPrefix(a.Value, "url(#"); ok {
				d.Refs = append(d.Refs, strings.TrimSuffix(ref, ")"))
			}
		case "d":
			for _, v := range strings.FieldsFunc(a.Value, func(r rune) bool { return r == 'M' || r == 'L' || r == ' ' }) {
				d.inside(t, name, v)
			}
		case "viewBox":
			if _, err := fmt.Sscanf(a.Value, "0 0 %g %g", &d.Width, &d.Height); err != nil {
				t.Fatalf("viewBox %q: %v", a.Value, err)
			}
		case "x", "x1", "x2", "y", "y1", "y2", "width", "height":
			d.inside(t, name+" "+a.Name.Local, a.Value)
		}
	}
}

// inside checks that a coordinate is a number and no greater than the frame.
func (d *Picture) inside(t *testing.T, what, coordinate string) {
	t.Helper()
	if v, err := strconv.ParseFloat(coordinate, 64); err != nil || !(v >= 0 && v <= math.Max(d.Width, d.Height)) {
		t.Fatalf("%s = %s lies outside %g by %g", what, coordinate, d.Width, d.Height)
	}
}

func attribute(t *testing.T, e xml.StartElement, name string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(attributeText(e, name), 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func attributeText(e xml.StartElement, name string) string {
	for _, a := range e.Attr {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}

func (d *Picture) words(t *testing.T, open []xml.StartElement, words string) {
	t.Helper()
	if len(open) == 0 {
		return
	}
	e := open[len(open)-1]
	switch e.Name.Local {
	case "title", "desc":
		d.Said += words + "\n"
	case "text":
		px := attribute(t, e, "font-size")
		w := d.width(words, px, attributeText(e, "font-weight") == "bold")
		x, y := attribute(t, e, "x"), attribute(t, e, "y")
		switch attributeText(e, "text-anchor") {
		case "middle":
			x -= w / 2
		case "end":
			x -= w
		}
		if px < 11 {
			t.Errorf("%.40q is written %g px high, want 11 at least", words, px)
		}
		d.Texts = append(d.Texts, Text{words, x, y - 0.78*px, x + w, y + 0.22*px})
	}
}

// Clear checks that no words are cut off and none stand on others.
func Clear(t *testing.T, d Picture) {
	t.Helper()
	const slack = 0.2 // coordinates are rounded to a tenth
	for i, a := range d.Texts {
		if a.X1 < -slack || a.Y1 < -slack || a.X2 > d.Width+slack || a.Y2 > d.Height+slack {
			t.Errorf("%.40q is cut off: %.0f to %.0f of %g, %.0f to %.0f of %g", a.Words, a.X1, a.X2, d.Width, a.Y1, a.Y2, d.Height)
		}
		for _, b := range d.Texts[:i] {
			if a.X1 < b.X2-slack && b.X1 < a.X2-slack && a.Y1 < b.Y2-slack && b.Y1 < a.Y2-slack {
				t.Errorf("%.40q stands on %.40q", a.Words, b.Words)
			}
		}
	}
}
