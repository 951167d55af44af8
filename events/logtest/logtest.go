// Package logtest is the suite that every log has to pass, whatever it is built
// on. It has a kind of entry of its own, so that it depends on no kind of the
// trade.
package logtest

import (
	"fmt"
	"strings"
	"time"

	"tankside/events"
)

// Incident is the name of the incident that the suite logs.
const Incident = "Ditch Road"

// Remark is the kind of entry the suite logs.
type Remark struct{ Text string }

// Kind returns remark.
func (Remark) Kind() events.Kind { return "remark" }

// Catalogue returns a catalogue with Remark as its only kind.
func Catalogue() *events.Catalogue { return catalogue }

var catalogue = func() *events.Catalogue {
	c, err := events.NewCatalogue(events.Declare(events.Spec[Remark]{
		Version: 1, Title: "Remark", Family: "test", Doc: "Something said in a test.",
		Fields:  []events.Field[Remark]{events.Text("text", "Text", func(r *Remark) *string { return &r.Text })},
		Line:    func(r Remark) string { return "Remark: " + r.Text },
		Example: Remark{"the ditch is dry"},
		Feeds:   []string{events.NarrativeOnly},
	}))
	if err != nil {
		panic(err)
	}
	return c
}()

// start is when the suite's incident begins.
var start = time.Date(2025, 10, 14, 18, 0, 0, 0, time.UTC)

// Clock is a clock that moves on by a second at each look. It is not safe for use
// by many goroutines; a log looks at its clock from one at a time.
func Clock() func() time.Time {
	n := 0
	return func() time.Time { n++; return start.Add(time.Duration(n) * time.Second) }
}

// Draft makes the nth draft of the suite's incident, always with the same id and
// content for the same n.
func Draft(n int) events.Draft {
	at := start.Add(time.Duration(n) * time.Second)
	return events.Draft{
		ID: events.ContentID(at, fmt.Sprint(n)), Incident: Incident, Occurred: events.At(at), Reported: at,
		ObservedBy: "Entry team 2", Channel: events.Radio, Words: fmt.Sprintf("remark %d as said", n),
		Payload: Remark{fmt.Sprintf("remark %d", n)},
	}
}

// Drafts makes the drafts from n to m, both included.
func Drafts(n, m int) []events.Draft {
	var out []events.Draft
	for ; n <= m; n++ {
		out = append(out, Draft(n))
	}
	return out
}

// hostile is text that has broken logs: control bytes, line ends, quotes, markup,
// letters outside ASCII, things that look like other formats, and length.
var hostile = []string{
	"", " ", "\n", "a\nb\r\nc", "\x00\x01\x1f\x7f", `"}{,"n":99`, `\u0000\n`, "<script>alert(1)</script>", "`rm -rf /`; %s%n",
	"été, 液体, 🛢️, \u202egnp.exe", "\ufeffbom", "\u2028\u2029", "ev.*.>", "../../etc/passwd", strings.Repeat("long ", 20_000),
}
