package projections

import (
	"fmt"
	"math"
	"strings"

	"tankside/events"
	"tankside/events/quantity"
	"tankside/projections/calc/petroleum"
)

// netUnit is the unit of a volume reduced to 60 °F; a gross volume has "gal".
const netUnit = "gal at 60 F"

// Gross is a volume as it was, at the temperature it had.
type Gross struct{ Figure }

// Plus adds two gross volumes.
func (g Gross) Plus(o Gross) Gross { return Gross{g.Figure.Plus(o.Figure)} }

// Minus subtracts a gross volume.
func (g Gross) Minus(o Gross) Gross { return Gross{g.Figure.Minus(o.Figure)} }

// Net is a volume reduced to 60 °F. It is another type than Gross on purpose: the
// two cannot be added.
type Net struct{ Figure }

// Plus adds two net volumes.
func (n Net) Plus(o Net) Net { return Net{n.Figure.Plus(o.Figure)} }

// Minus subtracts a net volume.
func (n Net) Minus(o Net) Net { return Net{n.Figure.Minus(o.Figure)} }

func noGross(missing ...string) Gross { return Gross{floor(Lacking("gal", missing...))} }
func noNet(missing ...string) Net     { return Net{floor(Lacking(netUnit, missing...))} }

// floor keeps a volume from being less than nothing.
func floor(f Figure) Figure { f.Low = math.Max(0, f.Low); return f }

// grossOf is what an amount of liquid says, never less than nothing.
func grossOf(a quantity.Amount[quantity.Gallons], method string, e *events.Entry) Gross {
	return Gross{floor(FigureOf(a, method, e.Seq))}
}

// liquid is what has to be known of a liquid to reduce it to 60 °F.
type liquid struct {
	products products
	product  string // as said; "" when nobody said
	gravity  gravities
	temp     Figure // °F
}

// The range in which the temperature of a product is taken to lie when nobody
// read it, and the shrinkage of a product that nobody named. Common practice, no
// source.
const (
	coldest      = quantity.Fahrenheit(-20)
	hottest      = quantity.Fahrenheit(110)
	unnamedAlpha = 0.0006
)

// factor returns by what a gross volume is to be multiplied, and how that was
// found. Without a temperature the volume stands, between the factors of the
// coldest and the hottest product there may be.
func (l liquid) factor() (low, best, high float64, method string) {
	p, ok := l.products.find(l.product)
	if !ok {
		p = petroleum.Product{Alpha: unnamedAlpha, Blend: true}
	}
	api := l.gravity.of(l.product)
	vcf := func(t quantity.Fahrenheit) float64 { f, _ := p.VCF(api, t); return f }
	if !l.temp.Known {
		return vcf(hottest), 1, vcf(coldest), "temperature not recorded, taken as 60 F"
	}
	_, method = p.VCF(api, quantity.Fahrenheit(l.temp.Value))
	if !ok {
		method = "product not known, shrinkage of 0.0006 for each °F"
	}
	at := func(t float64) float64 { return vcf(quantity.Fahrenheit(t)) }
	return at(l.temp.High), at(l.temp.Value), at(l.temp.Low), method
}

// net reduces a gross volume of the liquid to 60 °F.
func (l liquid) net(g Gross) Net {
	low, best, high, how := l.factor()
	f := g.Figure
	f.Low, f.Value, f.High, f.U = math.Min(f.Low*low, f.Low*high), f.Value*best, math.Max(f.High*low, f.High*high), f.U*best
	f.Unit, f.Method = netUnit, join(f.Method, how)
	f.From = union(f.From, l.temp.From)
	return Net{f}
}

// gross brings a net volume back to the temperature of the liquid.
func (l liquid) gross(n Net) Gross {
	low, best, high, how := l.factor()
	f := n.Figure
	f.Low, f.Value, f.High, f.U = math.Min(f.Low/high, f.Low/low), f.Value/best, math.Max(f.High/low, f.High/high), f.U/best
	f.Unit, f.Method = "gal", join(f.Method, how)
	f.From = union(f.From, l.temp.From)
	return Gross{f}
}

// join writes two remarks as one.
func join(a, b string) string {
	if a == "" || b == "" {
		return a + b
	}
	return a + "; " + b
}

// gallons writes a volume for a sentence: whole gallons from 10 up, thousands
// apart.
func gallons(v float64) string {
	if math.Abs(v) < 9.95 {
		return quantity.Digits(math.Round(v*10)/10) + " gal"
	}
	s := fmt.Sprintf("%.0f", math.Abs(v))
	for i := len(s) - 3; i > 0; i -= 3 {
		s = s[:i] + "," + s[i:]
	}
	if v < 0 {
		s = "-" + s
	}
	return s + " gal"
}

// compartmentOf returns the compartment that words name, as the C4 of "C4 dome
// lid" or "C4-L"; "" when they name none or several.
func compartmentOf(words string) string {
	found := compartmentsOf(words)
	if len(found) != 1 {
		return ""
	}
	return found[0]
}

func compartmentsOf(words string) (found []string) {
	for _, w := range strings.FieldsFunc(words, func(r rune) bool { return r == ' ' || r == ',' || r == '-' || r == '+' || r == '/' }) {
		if isNumbered(w, "C") {
			found = append(found, w)
		}
	}
	return found
}

// isNumbered reports whether w is prefix and a number, as C4.
func isNumbered(w, prefix string) bool {
	n := strings.TrimPrefix(w, prefix)
	return n != "" && len(n) < len(w) && digits(n) == len(n)
}
