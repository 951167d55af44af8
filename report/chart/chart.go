// Package chart draws the pictures of a report as SVG: plain structs of numbers and
// words in, the text of one picture out. It works nothing out beyond where a mark
// goes; every number that is written in a picture comes as the words of whoever asks
// for the picture, so that picture and document never differ.
//
// The same input gives the same bytes. A picture needs no script, no style sheet and
// no font of its own, says in words what it shows to who cannot see it, and tells its
// parts apart by shape, hatching and word, so that a grey print has all of it.
package chart

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Unknown is what a picture says of an amount that nobody logged, when no better
// words are given.
const Unknown = "not recorded"

// The widths that pictures are made for, in pixels at their natural size: a page of
// a screen or of paper, and a phone of 360 pixels with its margins.
const (
	Wide   = 720
	Narrow = 320
)

// The inks. They differ in lightness, so that print in grey keeps them apart.
const (
	ink    = "#14181c"
	quiet  = "#4a525a"
	middle = "#7d8791"
	faint  = "#d5dade"
	paper  = "#ffffff"
	doubt  = "#6b2c91"
)

// The sizes of letters in pixels. None is smaller.
const (
	size = 12.0
	note = 11.0
)

// canvas gathers the elements of one picture.
type canvas struct {
	b     strings.Builder
	id    string
	width float64
}

// num writes a coordinate to a tenth of a pixel.
func num(v float64) string {
	s := strings.TrimSuffix(strconv.FormatFloat(v, 'f', 1, 64), ".0")
	if s == "-0" {
		return "0"
	}
	return s
}

// rect draws a box. Its sides may be given either way round.
func (c *canvas) rect(x1, y1, x2, y2 float64, look string) {
	x, y := math.Min(x1, x2), math.Min(y1, y2)
	fmt.Fprintf(&c.b, `<rect x="%s" y="%s" width="%s" height="%s" %s/>`+"\n", num(x), num(y), num(math.Abs(x2-x1)), num(math.Abs(y2-y1)), look)
}

func (c *canvas) line(x1, y1, x2, y2 float64, look string) {
	fmt.Fprintf(&c.b, `<line x1="%s" y1="%s" x2="%s" y2="%s" %s/>`+"\n", num(x1), num(y1), num(x2), num(y2), look)
}

// path draws lines through the points, x and y in turn.
func (c *canvas) path(look string, xy ...float64) {
	c.b.WriteString(`<path d="`)
	for i := 0; i+1 < len(xy); i += 2 {
		c.b.WriteString(map[bool]string{true: "M", false: "L"}[i == 0] + num(xy[i]) + " " + num(xy[i+1]))
	}
	c.b.WriteString(`" ` + look + "/>\n")
}

// anchor says which end of a text stands at its place.
type anchor string

const (
	start  anchor = "start"
	center anchor = "middle"
	end    anchor = "end"
)

// text writes one line of words with its base line at y.
func (c *canvas) text(x, y float64, at anchor, px float64, look, words string) {
	if words == "" {
		return
	}
	fmt.Fprintf(&c.b, `<text x="%s" y="%s" text-anchor="%s" font-size="%s"%s>%s</text>`+"\n", num(x), num(y), at, num(px), look, safe(words))
}

// The looks of words.
const (
	plain = ` fill="` + ink + `"`
	soft  = ` fill="` + quiet + `"`
	bold  = ` fill="` + ink + `" font-weight="bold"`
	halo  = ` stroke="` + paper + `" stroke-width="3" paint-order="stroke"` // clears the ground under words
)

// open begins a part of the picture that says what it is when it is pointed at.
func (c *canvas) open(words string) { c.b.WriteString("<g><title>" + safe(words) + "</title>\n") }

func (c *canvas) close() { c.b.WriteString("</g>\n") }

// hatch is the fill of what is to be told from solid bars without its colour.
func (c *canvas) hatch() string { return `fill="url(#` + c.id + `-hatch)"` }

// dots is the fill of a stretch in which nothing was meant to happen.
func (c *canvas) dots() string { return `fill="url(#` + c.id + `-dots)"` }

// head writes the title of a picture and what is to be said of the whole, and returns its
// last base line.
func (c *canvas) head(title string, lines ...string) float64 {
	y := size
	c.text(0, y, start, size, bold, fit(title, size*broad, c.width))
	for _, words := range lines {
		for _, line := range wrap(words, note, c.width) {
			y += lineGap
			c.text(0, y, start, note, soft, line)
		}
	}
	return y
}

// key writes what a mark means below y, draws the mark left of it about the height that it
// is given, between 1 and 20 across, and returns the last base line.
func (c *canvas) key(y float64, words string, glyph func(y float64)) float64 {
	for i, line := range wrap(words, note, c.width-26) {
		if y += lineGap + 2; i == 0 {
			glyph(y - 4)
		}
		c.text(26, y, start, note, soft, line)
	}
	return y
}

// svg closes the picture and returns it.
func (c *canvas) svg(height float64, title, desc string) string {
	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %s %s" role="img" aria-labelledby="%s-title %[3]s-desc" font-family="sans-serif">`+"\n", num(c.width), num(height), c.id)
	fmt.Fprintf(&b, "<title id=\"%s-title\">%s</title>\n<desc id=\"%[1]s-desc\">%s</desc>\n", c.id, safe(title), safe(desc))
	fmt.Fprintf(&b, `<defs><pattern id="%s-hatch" width="5" height="5" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><rect width="5" height="5" fill="%s"/><line x1="1" y1="0" x2="1" y2="5" stroke="%s" stroke-width="1.6"/></pattern>`+"\n", c.id, paper, quiet)
	fmt.Fprintf(&b, `<pattern id="%s-dots" width="6" height="6" patternUnits="userSpaceOnUse"><rect x="1" y="1" width="1.5" height="1.5" fill="%s"/></pattern></defs>`+"\n", c.id, middle)
	b.WriteString(c.b.String())
	b.WriteString("</svg>\n")
	return b.String()
}
