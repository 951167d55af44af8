package report

import (
	"bytes"
	"fmt"
	"strings"
	"time"

	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/util"

	"tankside/projections"
	"tankside/report/chart"
)

// place is what a section writes where the page has a picture. Markdown does not show
// it, and no word of a log can look like it: their brackets are escaped.
func place(name string) markdown { return markdown("<!-- picture " + name + " -->") }

// pictures draws all pictures of the report, by name.
func (d *Document) pictures() map[string]string {
	out := map[string]string{}
	d.hung(out)
	for i := range d.Falls {
		f := &d.Falls[i]
		w := f.picture()
		out[string(place(f.Name))] = twoForms(f.Name, &w.ID, w.SVG)
	}
	out[string(place("strip"))] = ""
	if l, ok := d.strip(); ok {
		out[string(place("strip"))] = twoForms("strip", &l.ID, l.SVG)
	}
	out[string(place("tank"))] = ""
	if t, ok := d.tank(); ok {
		out[string(place("tank"))] = twoForms("tank", &t.ID, t.SVG)
	}
	out[string(place("pace"))] = ""
	if p, ok := d.pace(); ok {
		out[string(place("pace"))] = twoForms("pace", &p.ID, p.SVG)
	}
	out[string(place("crew"))] = ""
	if l, ok := d.crew(); ok {
		out[string(place("crew"))] = twoForms("crew", &l.ID, l.SVG)
	}
	out[string(place("ohms"))] = ""
	if c, ok := d.ohms(); ok {
		out[string(place("ohms"))] = twoForms("ohms", &c.ID, c.SVG)
	}
	out[string(place("foam"))] = ""
	if l, ok := d.blanket(); ok {
		out[string(place("foam"))] = twoForms("foam", &l.ID, l.SVG)
	}
	var air strings.Builder
	for i, l := range d.levels() {
		l.ID = fmt.Sprintf("picture-air-%d", i+1)
		air.WriteString("<figure class=\"leg\">\n" + l.SVG(legWidth) + "</figure>\n")
	}
	out[string(place("air"))] = inColumns(air.String())
	var legs strings.Builder
	for i := range d.State.Volume.Legs {
		if l := &d.State.Volume.Legs[i]; len(l.Readings) > 1 {
			c := d.leg(l)
			c.ID = fmt.Sprintf("picture-leg-%d", i+1)
			legs.WriteString("<figure class=\"leg\">\n" + c.SVG(legWidth) + "</figure>\n")
		}
	}
	out[string(place("legs"))] = inColumns(legs.String())
	return out
}

// inColumns puts small pictures beside each other where there is room.
func inColumns(figures string) string {
	if figures == "" {
		return ""
	}
	return "<div class=\"legs\">\n" + figures + "</div>\n"
}

// twoForms draws a picture for a page and for a phone; id is the picture's own.
func twoForms(name string, id *string, draw func(width float64) string) string {
	var b strings.Builder
	for _, form := range []struct {
		class string
		width float64
	}{{"broad", chart.Wide}, {"slim", chart.Narrow}} {
		*id = "picture-" + name + "-" + form.class
		b.WriteString("<div class=\"" + form.class + "\">\n" + draw(form.width) + "</div>\n")
	}
	return "<figure>\n" + b.String() + "</figure>\n"
}

// legWidth is the width of the picture of a leg: two stand side by side on paper, one
// fills a phone.
const legWidth = chart.Narrow

// flags are the verdicts on an interval that are marked in a picture.
var flags = map[string]chart.Flag{"too little": chart.TooLittle, "too much": chart.TooMuch, "register went down": chart.WentDown}

// leg is the picture of a leg.
func (d *Document) leg(l *projections.LegState) chart.Leg {
	c := chart.Leg{Title: shown(l.ID + ": " + l.From + " to " + l.To), Unit: "gal", RateUnit: "gpm"}
	if l.Product != "" {
		c.Title += shown(", " + l.Product)
	}
	for _, m := range l.Measured {
		if m.Method == "meter" {
			c.Lines = append(c.Lines, "meter "+figureWords(m.Gross.Figure)+map[bool]string{true: ", set aside"}[m.SetAside != ""])
		}
	}
	if l.Best.Known {
		c.Lines = append(c.Lines, shown(l.Best.Method)+" "+figureWords(l.Best))
	}
	for i, r := range l.Readings {
		if i == 0 && r.Reads.Unit != "" {
			c.Unit = strings.TrimSpace(unit(r.Reads.Unit))
		}
		c.Points = append(c.Points, chart.Point{At: d.local(r.At.Best), Value: r.Reads.Value})
	}
	for i, v := range l.Intervals {
		if v.Rate.Known {
			c.RateUnit = strings.TrimSpace(unit(v.Rate.Unit))
		}
		s := chart.Span{From: c.Points[i], To: c.Points[i+1], Rate: amount(v.Rate, false), Expected: amount(v.Expected, false), Flag: flags[v.Verdict]}
		if s.Flag != chart.Fits {
			s.Word = v.Verdict
		}
		c.Spans = append(c.Spans, s)
	}
	for _, p := range l.Pauses {
		end := p.End.Best
		if p.End.IsZero() {
			end = l.Readings[len(l.Readings)-1].At.Best
		}
		c.Held = append(c.Held, chart.Stretch{From: d.local(p.Start.Best), To: d.local(end)})
	}
	return c
}

func (d *Document) local(t time.Time) time.Time { return t.In(d.Zone) }

// figureWords writes a figure with its unit; its doubt speaks for its bounds.
func figureWords(f projections.Figure) string {
	return amount(f, false).Text + unit(f.Unit)
}

// picture is the node of a picture in the page.
type picture struct {
	ast.BaseBlock
	svg string
}

var kindPicture = ast.NewNodeKind("Picture")

// Kind names the node.
func (*picture) Kind() ast.NodeKind { return kindPicture }

// Dump prints the node for whoever looks for a fault.
func (p *picture) Dump(source []byte, level int) { ast.DumpHelper(p, source, level, nil, nil) }

// hang puts the pictures where the sections have their places.
func hang(doc ast.Node, source []byte, pictures map[string]string) {
	for n := doc.FirstChild(); n != nil; {
		next := n.NextSibling()
		if h, ok := n.(*ast.HTMLBlock); ok {
			if svg, ok := pictures[string(bytes.TrimSpace(h.Lines().Value(source)))]; ok {
				doc.ReplaceChild(doc, n, &picture{svg: svg})
			}
		}
		n = next
	}
}

// drawPicture renders the node. What it writes was drawn by us, with every word escaped.
func drawPicture(w util.BufWriter, _ []byte, n ast.Node, entering bool) (ast.WalkStatus, error) {
	if !entering {
		return ast.WalkContinue, nil
	}
	_, err := w.WriteString(n.(*picture).svg)
	return ast.WalkContinue, err
}
