package report

import (
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"io"
	"slices"
	"strings"
	"testing"
	"time"

	"golang.org/x/net/html"

	"tankside/events"
	"tankside/events/kinds"
)

// ours are the elements of our pages with the attributes they may have.
var ours = map[string][]string{
	"html": {"lang"}, "head": nil, "meta": {"charset", "http-equiv", "content", "name"}, "title": {"id"}, "style": nil, "body": nil,
	"nav": {"aria-label"}, "details": nil, "summary": nil, "ol": nil, "main": nil,
	"h1": {"id"}, "h2": {"id"}, "h3": {"id"}, "h4": {"id"}, "p": nil, "br": nil, "strong": nil, "em": nil, "del": nil,
	"img": {"src", "alt"}, "ul": nil, "li": nil, "a": {"href"}, "article": nil,
	"figure": {"class"}, "svg": {"xmlns", "viewbox", "role", "aria-labelledby", "font-family"}, "desc": {"id"}, "defs": nil, "g": nil,
	"pattern": {"id", "width", "height", "patternunits", "patterntransform"}, "rect": drawnBy("x", "y", "width", "height"), "path": drawnBy("d"),
	"line": drawnBy("x1", "y1", "x2", "y2"), "text": drawnBy("x", "y", "text-anchor", "font-size", "font-weight", "paint-order"),
	"div": {"class", "tabindex"}, "table": nil, "thead": nil, "tbody": nil, "tr": nil, "th": {"class"}, "td": {"class"},
}

// drawnBy are the attributes of a shape: its own and those of its ink.
func drawnBy(own ...string) []string {
	return append(own, "fill", "fill-opacity", "stroke", "stroke-width", "stroke-dasharray")
}

// classes are those of our style sheet.
var classes = []string{"right", "wide", "broad", "slim", "legs", "leg"}

// parsed is what a page holds: its tags in order, its ids, where its links lead,
// and its text.
type parsed struct {
	tags, ids, links []string
	text, style      string
	policy           string
}

// readPage reads a page token by token, as written, and fails on any element or
// attribute that is not ours and on tags that are not closed in order.
func readPage(t testing.TB, page string) (p parsed) {
	t.Helper()
	z := html.NewTokenizer(strings.NewReader(page))
	var open []string
	var text, style strings.Builder
	for {
		switch kind := z.Next(); kind {
		case html.ErrorToken:
			if z.Err() != io.EOF || len(open) > 0 {
				t.Fatalf("page ends with %v and %v open", z.Err(), open)
			}
			p.text, p.style = strings.Join(strings.Fields(text.String()), " "), style.String()
			return p
		case html.TextToken:
			if slices.Contains(open, "style") {
				style.Write(z.Raw())
				continue
			}
			text.WriteString(html.UnescapeString(string(z.Raw())))
		case html.StartTagToken, html.SelfClosingTagToken:
			tok := z.Token()
			p.tag(t, tok)
			if tok.Data == "br" {
				text.WriteByte(' ')
			} else if kind == html.StartTagToken && tok.Data != "meta" && tok.Data != "img" {
				open = append(open, tok.Data)
			}
		case html.EndTagToken:
			name, _ := z.TagName()
			if n := len(open); n == 0 || open[n-1] != string(name) {
				t.Fatalf("</%s> closes %v", name, open)
			}
			open = open[:len(open)-1]
			text.WriteByte(' ')
		case html.DoctypeToken:
		default:
			t.Fatalf("page holds %v %q", kind, z.Raw())
		}
	}
}

// tag checks one tag and notes what it says.
func (p *parsed) tag(t testing.TB, tok html.Token) {
	t.Helper()
	allowed, known := ours[tok.Data]
	if !known {
		t.Fatalf("page holds %v", tok)
	}
	p.tags = append(p.tags, tok.Data)
	for _, a := range tok.Attr {
		if !slices.Contains(allowed, a.Key) {
			t.Fatalf("page holds %v", tok)
		}
		switch {
		case a.Key == "id":
			p.ids = append(p.ids, a.Val)
		case a.Key == "href":
			p.links = append(p.links, a.Val)
		case a.Key == "content" && strings.HasPrefix(a.Val, "default-src"):
			p.policy = a.Val
		case a.Key == "class" && !slices.Contains(classes, a.Val):
			t.Fatalf("page holds %v", tok)
		}
	}
}

// resolve checks that every link leads somewhere and every name is given once.
func (p *parsed) resolve(t testing.TB) {
	t.Helper()
	ids := map[string]bool{}
	for _, id := range p.ids {
		if ids[id] {
			t.Errorf("id %q is given twice", id)
		}
		ids[id] = true
	}
	for _, l := range p.links {
		if target, ok := strings.CutPrefix(l, "#"); !ok || !ids[target] {
			t.Errorf("link %q leads nowhere", l)
		}
	}
}

func TestPageStandsAlone(t *testing.T) {
	for _, in := range []struct{ file, name string }{{"quarry-bend.csv", "Quarry Bend"}, {"harrow-mill.csv", "Harrow Mill"}} {
		p := readPage(t, htmlOf(t, built(incident(t, in.file, in.name), events.View{})))
		p.resolve(t)
		sheet := sha256.Sum256([]byte(p.style))
		want := fmt.Sprintf("style-src 'sha256-%s'", base64.StdEncoding.EncodeToString(sheet[:]))
		if !strings.HasPrefix(p.policy, "default-src 'none'") || !strings.Contains(p.policy, want) {
			t.Errorf("%s: policy %q does not let the page's own style in, want %q", in.name, p.policy, want)
		}
		if strings.Contains(p.style, "url(") || strings.Contains(p.style, "@import") {
			t.Errorf("%s: the style fetches something", in.name)
		}
	}
}

// TestSaidTextIsText puts awkward texts where a scribe can put any and looks for
// them on the page, as text, in a page built of the same elements as for a plain
// word.
func TestSaidTextIsText(t *testing.T) {
	plain := readPage(t, htmlOf(t, built(sealed(t, []events.Draft{sayingOf("plain")}), events.View{})))
	for _, s := range nasty {
		s = strings.ToValidUTF8(s, "?")
		p := readPage(t, htmlOf(t, built(sealed(t, []events.Draft{sayingOf("a" + s + "z")}), events.View{})))
		if !slices.Equal(p.tags, plain.tags) {
			t.Errorf("%.60q changes the elements of the page from\n%v to\n%v", s, plain.tags, p.tags)
		}
		if want := visible("a" + s + "z"); strings.Count(p.text, want) < 4 {
			t.Errorf("%.60q stands %d times on the page, want at least 4", s, strings.Count(p.text, want))
		}
	}
}

// sayingOf is an entry that says s wherever it can.
func sayingOf(s string) events.Draft {
	d := said(0, s, s, kinds.Note{Text: s})
	d.Extra = []events.Pair{{Key: "as_said", Value: s}}
	d.ObservedBy, d.RelayedBy = s, s
	return d
}

// visible is s as a page shows it: on one line, what has no shape made visible.
func visible(s string) string {
	s = strings.NewReplacer("\r\n", "↵ ", "\n", "↵ ", "\u0085", "↵ ", "\x00", "␀", "\u202e", "[U+202E]", "\u2067", "[U+2067]").Replace(s)
	return strings.Join(strings.Fields(s), " ")
}

// FuzzReport puts any text into every text of every kind, and into the envelope.
func FuzzReport(f *testing.F) {
	for _, s := range nasty {
		f.Add(s[:min(len(s), 300)])
	}
	f.Fuzz(func(t *testing.T, s string) {
		s = strings.ToValidUTF8(s, "?")
		p := readPage(t, htmlOf(t, built(everywhere(t, s), events.View{})))
		p.resolve(t)
	})
}

// everywhere is a log with one entry of each kind, and s in every text of each
// that takes it.
func everywhere(t testing.TB, s string) []events.Recorded {
	var drafts []events.Draft
	for i, k := range kinds.Catalogue().Types() {
		payload := k.Example
		for _, f := range k.Fields {
			if f.Type != events.TextField && f.Type != events.TextsField && f.Type != events.KeyedField {
				continue
			}
			key := strings.NewReplacer("#", "1", "@", "A").Replace(f.Key)
			if p, err := k.Replace(payload, key, "x"+s); err == nil && k.Check(p) == nil {
				payload = p
			}
		}
		d := said(i, "x"+s, s, payload)
		d.ID = events.ContentID(d.Occurred.At, string(k.Kind))
		d.Incident, d.ObservedBy, d.RelayedBy, d.Device, d.Extra = "x"+s, s, s, s, []events.Pair{{Key: s, Value: s}}
		d.Reported = d.Occurred.At.Add(time.Hour)
		drafts = append(drafts, d)
	}
	return sealed(t, drafts)
}
