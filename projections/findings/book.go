package findings

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"embed"
	"fmt"
	"math"
	"slices"
	"strings"

	"go.yaml.in/yaml/v3"

	"tankside/events"
	"tankside/projections"
)

//go:embed rules/*.yaml
var files embed.FS

// Level is one limit of a rule. What it leaves out of severity, source, edition and
// status is the rule's.
type Level struct {
	Op       string               `yaml:"op"`
	Value    float64              `yaml:"value"`
	Unit     string               `yaml:"unit"`
	Severity projections.Severity `yaml:"severity"`
	Ordered  string               `yaml:"ordered"` // words that an order must hold to set it at the site
	Source   string               `yaml:"source"`
	Edition  string               `yaml:"edition"`
	Status   string               `yaml:"status"`
}

// Rule is one thing that the log is held against.
type Rule struct {
	Name     string               `yaml:"name"`
	Ref      string               `yaml:"ref"`
	Title    string               `yaml:"title"`
	Severity projections.Severity `yaml:"severity"`
	Levels   map[string]Level     `yaml:"levels"`
	Source   string               `yaml:"source"`
	Edition  string               `yaml:"edition"`
	Status   string               `yaml:"status"`
	Clears   string               `yaml:"clears"`
	Family   string               `yaml:"-"`
	Off      string               `yaml:"-"` // why it is switched off; empty while it is on
	Changed  []string             `yaml:"-"` // what the department has changed
}

// Silent is a numbered rule of the trade that a log cannot answer, and why.
type Silent struct {
	Ref string `yaml:"ref"`
	Why string `yaml:"why"`
}

// Book is the rules in force.
type Book struct {
	Rules  []Rule
	Silent []Silent
	name   string
}

// families are the files of rules, in the order in which they are held against the
// log.
var families = []struct {
	name   string
	checks map[string]func(*scene)
}{
	{"order", orderChecks}, {"air", airChecks}, {"exposure", exposureChecks}, {"people", peopleChecks}, {"earth", earthChecks},
	{"foam", foamChecks}, {"transfer", transferChecks}, {"notice", noticeChecks}, {"log", logChecks},
	{"due", dueChecks}, {"alarm", alarmChecks},
}

// Defaults returns the rules as they stand before a department changes any. The files
// are part of the program: one that cannot be read is a fault of ours and panics.
func Defaults() *Book {
	b := &Book{}
	for _, f := range families {
		var doc struct {
			Rules  []Rule   `yaml:"rules"`
			Silent []Silent `yaml:"silent"`
		}
		read("rules/"+f.name+".yaml", &doc)
		for i := range doc.Rules {
			doc.Rules[i].Family = f.name
		}
		b.Rules = append(b.Rules, doc.Rules...)
		b.Silent = append(b.Silent, doc.Silent...)
	}
	b.name = b.fingerprint()
	return b
}

func read(name string, into any) {
	raw, err := files.ReadFile(name)
	if err == nil {
		d := yaml.NewDecoder(bytes.NewReader(raw))
		d.KnownFields(true)
		err = d.Decode(into)
	}
	if err != nil {
		panic(fmt.Sprintf("findings: %s: %v", name, err))
	}
}

// Rule returns the rule of a name, nil when there is none.
func (b *Book) Rule(name string) *Rule {
	for i := range b.Rules {
		if b.Rules[i].Name == name {
			return &b.Rules[i]
		}
	}
	return nil
}

// Name names the rules in force by what they say: the same rules have the same name.
func (b *Book) Name() string { return b.name }

func (b *Book) fingerprint() string {
	h := sha256.New()
	changed := 0
	for _, r := range b.Rules {
		fmt.Fprintf(h, "%q %q %q %v %q\n", r.Name, r.Ref, r.Severity, r.levels(), r.Off)
		if len(r.Changed) > 0 {
			changed++
		}
	}
	sum := fmt.Sprintf("%d rules, fingerprint %x", len(b.Rules), h.Sum(nil)[:4])
	if changed == 0 {
		return sum
	}
	return fmt.Sprintf("%s, %d changed by the department", sum, changed)
}

// levels are the limits of a rule in the order of their names.
func (r *Rule) levels() (out []string) {
	for name, l := range r.Levels {
		out = append(out, fmt.Sprintf("%s %s %v %s", name, l.Op, l.Value, l.Unit))
	}
	slices.Sort(out)
	return out
}

// threshold is a level of the rule as a limit, with the source that stands for it.
func (r *Rule) threshold(level string) projections.Threshold {
	l, ok := r.Levels[level]
	if !ok {
		panic(fmt.Sprintf("findings: rule %s has no level %q", r.Name, level))
	}
	t := projections.Threshold{Op: l.Op, Value: l.Value, Unit: l.Unit, Source: r.Source, Edition: r.Edition, Status: r.Status}
	if l.Source != "" {
		t.Source, t.Edition = l.Source, l.Edition
	}
	t.Status, t.From = cmp.Or(l.Status, t.Status), []events.Seq{}
	return t
}

// Change is what a department says of one rule. What it leaves out stays as it is.
type Change struct {
	Rule     string
	Off      string // why it is switched off
	Severity string
	Source   string             // who says so
	Limits   map[string]float64 // by level
}

// Override puts what a department says over the rules.
func (b *Book) Override(changes []Change) error {
	for _, c := range changes {
		if err := b.change(c); err != nil {
			return err
		}
	}
	b.name = b.fingerprint()
	if err := b.crew().Check(); err != nil {
		return fmt.Errorf("rules of air and rest: %w", err)
	}
	return nil
}

func (b *Book) change(c Change) error {
	r := b.Rule(c.Rule)
	switch {
	case r == nil:
		return fmt.Errorf("there is no rule %q; tankside findings --rules-list names them all", c.Rule)
	case len(r.Changed) > 0:
		return fmt.Errorf("rule %s stands in the file twice; write it once", c.Rule)
	case len(c.Limits) > 0 && strings.TrimSpace(c.Source) == "":
		return fmt.Errorf("rule %s: no source for its limits; say who says so, such as \"source: standing order 12 of 3 May\"", c.Rule)
	}
	if err := r.limits(c); err != nil {
		return err
	}
	if c.Severity != "" {
		if projections.Severity(c.Severity).Rank() == 0 {
			return fmt.Errorf("rule %s: severity %q is none of info, caution and serious", c.Rule, c.Severity)
		}
		r.Severity = projections.Severity(c.Severity)
		r.Changed = append(r.Changed, "severity")
	}
	if c.Off != "" {
		r.Off, r.Changed = c.Off, append(r.Changed, "off")
	}
	if len(r.Changed) == 0 {
		return fmt.Errorf("rule %s: nothing is said of it but its name", c.Rule)
	}
	return nil
}

// limits puts the limits of a change over those of the rule.
func (r *Rule) limits(c Change) error {
	for said, v := range c.Limits {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return fmt.Errorf("rule %s: limit %s is %v; give a number, or switch the rule off with off: and why", r.Name, said, v)
		}
		name := r.level(said)
		if name == "" {
			return fmt.Errorf("rule %s has no limit %q; it has %s", r.Name, said, strings.Join(r.levels(), ", "))
		}
		l := r.Levels[name]
		l.Value, l.Source, l.Edition, l.Status = v, c.Source, "", "department"
		r.Levels[name] = l
		r.Changed = append(r.Changed, name)
	}
	slices.Sort(r.Changed)
	return nil
}

// level is the name of a level as the rule writes it, "" when it has none: a reader of
// YAML may have made small letters of it.
func (r *Rule) level(said string) string {
	for name := range r.Levels {
		if strings.EqualFold(name, said) {
			return name
		}
	}
	return ""
}
