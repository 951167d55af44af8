package report

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"text/template"
	"text/template/parse"
	"time"

	"tankside/events"
	"tankside/projections"
	"tankside/templates"
)

// few is how many entries are named beside a number; where there are more, the
// number leads to their list at the end of the report.
const few = 3

// printer writes one document. It keeps the lists of entries that were too long
// to stand beside their number, in the order in which they were met.
type printer struct {
	times   clock
	lists   []List
	printed map[string]int // list by its entries
	cited   map[events.Seq]bool
	whole   bool // every entry stands in the timeline, cited or not
}

// List is the entries that one number came from.
type List struct {
	Name string
	From []events.Seq
}

// Markdown writes the report as Markdown, the form all others are made from.
func (d Document) Markdown(w io.Writer) error {
	p := &printer{times: d.times, printed: map[string]int{}, cited: map[events.Seq]bool{}, whole: d.Whole()}
	t, err := sections.Clone()
	if err != nil {
		return fmt.Errorf("report: %w", err)
	}
	var b bytes.Buffer
	if err := t.Funcs(p.words()).ExecuteTemplate(&b, d.first(), d); err != nil {
		return fmt.Errorf("report: %w", err)
	}
	text := bytes.TrimSpace(emptyLines.ReplaceAll(b.Bytes(), []byte("\n\n")))
	if d.Whole() {
		text = withoutEmptyColumns(text)
	}
	if _, err := w.Write(append(text, '\n')); err != nil {
		return fmt.Errorf("report: write: %w", err)
	}
	return nil
}

// emptyLines are what sections leave behind that had little to say. The words of
// the log cannot hold any: each is on one line.
var emptyLines = regexp.MustCompile(`\n{3,}`)

// sections are the parsed templates, each guarded.
var sections = parseSections()

func parseSections() *template.Template {
	t := template.New("").Option("missingkey=error").Funcs((&printer{}).words())
	template.Must(t.ParseFS(templates.Report, "report/*.md"))
	show := template.Must(template.New("").Funcs((&printer{}).words()).Parse("{{. | show}}"))
	command := show.Root.Nodes[0].(*parse.ActionNode).Pipe.Cmds[1]
	for _, section := range t.Templates() {
		if section.Tree != nil {
			guard(section.Root, command)
		}
	}
	return t
}

// guard ends every action that prints with show, so that no template can print a
// text as it stands in the log.
func guard(list *parse.ListNode, show *parse.CommandNode) {
	if list == nil {
		return
	}
	for _, n := range list.Nodes {
		switch n := n.(type) {
		case *parse.ActionNode:
			if len(n.Pipe.Decl) == 0 {
				n.Pipe.Cmds = append(n.Pipe.Cmds, show)
			}
		case *parse.IfNode:
			guard(n.List, show)
			guard(n.ElseList, show)
		case *parse.RangeNode:
			guard(n.List, show)
			guard(n.ElseList, show)
		case *parse.WithNode:
			guard(n.List, show)
			guard(n.ElseList, show)
		}
	}
}

// words are the functions a template may use. They choose words for what is
// there; none of them works anything out.
func (p *printer) words() template.FuncMap {
	return template.FuncMap{
		"show":    p.show,
		"nothing": func() markdown { return notRecorded },
		"plain":   brief,
		"briefly": func(f projections.Figure) markdown { return markdown(number(unexplained(f))) + p.refs(f.From) },
		"restated": func(verdict string) bool {
			return strings.HasPrefix(verdict, "unaccounted:") || strings.HasPrefix(verdict, "not computable")
		},
		"score":    score,
		"off":      func(v *float64) markdown { return markdown(rounded(math.Abs(*v), 0)) },
		"from":     p.refs,
		"limit":    p.limit,
		"lists":    func() []List { return p.lists },
		"iso":      p.iso,
		"full":     func(t time.Time) string { return t.In(p.times.zone).Format("2 January 2006 15:04:05") },
		"day":      func(t time.Time) string { return t.Format("Monday 2 January 2006") },
		"link":     p.linked,
		"picture":  place,
		"at":       p.at,
		"minus":    func(s string) string { return hyphen.ReplaceAllString(s, "$1−$2") },
		"standing": p.standing,
		"foam":     func(s string) bool { return strings.Contains(strings.ToLower(s), "foam") },
	}
}

// hyphen is one that stands for a minus before a number in a sentence of the state.
var hyphen = regexp.MustCompile(`(^|[ (])-([0-9])`)

// show writes a value as Markdown: words as the text they are, figures and
// moments with the entries they came from, and what is not there as not recorded.
func (p *printer) show(v any) (markdown, error) {
	switch v := v.(type) {
	case markdown:
		return v, nil
	case projections.Figure:
		return markdown(number(v)) + p.refs(v.From), nil
	case projections.Gross:
		return p.show(v.Figure)
	case projections.Net:
		return p.show(v.Figure)
	case *projections.Figure:
		return p.show(*v)
	case projections.Moment:
		return p.moment(v), nil
	case projections.Interval:
		return p.moment(v.Start) + " to " + p.end(v.End), nil
	case time.Time:
		if v.IsZero() {
			return notRecorded, nil
		}
		return markdown(p.times.clock(v)), nil
	case *time.Time:
		return p.show(*v)
	case events.Seq:
		return p.each([]events.Seq{v}), nil
	case []events.Seq:
		return p.each(v), nil
	case events.Kind:
		return p.show(strings.ReplaceAll(string(v), "_", " "))
	case []string:
		return p.show(strings.Join(v, "; "))
	}
	switch r := reflect.ValueOf(v); r.Kind() {
	case reflect.String:
		if r.Len() == 0 {
			return notRecorded, nil
		}
		return escape(r.String()), nil
	case reflect.Int:
		return markdown(digits(float64(r.Int()))), nil
	}
	return "", fmt.Errorf("a section prints a %T, which has no form on paper", v)
}

// refs links the entries that a number came from. A space that does not break
// keeps the first of them with the number.
func (p *printer) refs(from []events.Seq) markdown {
	if len(from) == 0 {
		return ""
	}
	if len(from) > few {
		return markdown(fmt.Sprintf("\u00a0[%s…%s, %d entries](#%s)", anchor(from[0]), anchor(from[len(from)-1]), len(from), p.list(from)))
	}
	return "\u00a0" + p.each(from)
}

// limit writes a limit with who set it and the entries that did.
func (p *printer) limit(t *projections.Threshold) markdown {
	sense := map[string]string{">": "at most", ">=": "below", "<": "at least", "<=": "above"}[t.Op]
	by := strings.TrimSpace(t.Source + " " + t.Edition)
	if t.Status != "seen" && t.Status != "practice" && t.Status != "site setting" {
		by += ", " + t.Status
	}
	return escape(fmt.Sprintf("%s %s %s; %s", sense, digits(t.Value), t.Unit, by)) + p.refs(t.From)
}

// entryNumber finds where a mark or a note speaks of an entry.
var entryNumber = regexp.MustCompile(`\bentry (\d+)\b`)

// linked writes what the program noted, with the entries it speaks of as links.
func (p *printer) linked(note string) markdown {
	return markdown(entryNumber.ReplaceAllString(string(escape(note)), "[e$1](#e$1)"))
}

// standing is the timeline as the edition holds it: whole, or the entries cited so far
// and those they speak of.
func (p *printer) standing(all []Day) (out []Day) {
	if p.whole {
		return all
	}
	for more := true; more; {
		more = false
		for _, day := range all {
			for _, r := range day.Rows {
				for _, s := range r.speaksOf() {
					more = more || p.cited[r.Seq] && !p.cited[s]
					p.cited[s] = p.cited[s] || p.cited[r.Seq]
				}
			}
		}
	}
	for _, day := range all {
		day.Rows = keep(day.Rows, func(r Row) bool { return p.cited[r.Seq] })
		if len(day.Rows) > 0 {
			out = append(out, day)
		}
	}
	return out
}

// each links every one of the entries, however many there are.
func (p *printer) each(from []events.Seq) markdown {
	links := make([]string, len(from))
	for i, s := range from {
		p.cited[s] = true
		links[i] = link(s)
	}
	return markdown(strings.Join(links, " "))
}

// list returns the name of the list of entries, the same for the same entries.
func (p *printer) list(from []events.Seq) string {
	var key []byte
	for _, s := range from {
		key = append(strconv.AppendUint(key, uint64(s), 36), ' ')
	}
	for _, s := range from {
		p.cited[s] = true
	}
	i, ok := p.printed[string(key)]
	if !ok {
		i = len(p.lists) + 1
		p.printed[string(key)] = i
		p.lists = append(p.lists, List{Name: "list" + strconv.Itoa(i), From: slices.Clone(from)})
	}
	return p.lists[i-1].Name
}

func (p *printer) moment(m projections.Moment) markdown {
	if m.IsZero() {
		return notRecorded
	}
	text := p.times.clock(m.Best)
	switch {
	case !m.Soft():
	case m.DayOnly():
		text = m.Best.In(p.times.zone).Format("2 Jan") + ", time of day not said"
	case m.Earliest.IsZero():
		text = "before " + p.times.clock(m.Latest)
	default:
		text = "between " + p.times.clock(m.Earliest) + " and " + p.times.clock(m.Latest)
	}
	return markdown(text) + p.refs(m.From)
}

// at writes when a finding was, without the entries: they stand at its end.
func (p *printer) at(f projections.Finding) markdown {
	f.Start.From, f.End.From = nil, nil
	switch {
	case f.End.IsZero():
		return "since " + p.moment(f.Start)
	case f.Once():
		return p.moment(f.Start)
	}
	return p.moment(f.Start) + " to " + p.moment(f.End)
}

// iso writes a moment as a form takes it, with its offset.
func (p *printer) iso(m projections.Moment) markdown {
	if m.IsZero() || m.Soft() {
		return p.moment(m)
	}
	return markdown(m.Best.In(p.times.zone).Format(time.RFC3339)) + p.refs(m.From)
}

// end writes the end of a stretch, which may be still open.
func (p *printer) end(m projections.Moment) markdown {
	if m.IsZero() {
		return "*no end recorded*"
	}
	return p.moment(m)
}
