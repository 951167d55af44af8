package findings

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"testing"
)

// statuses are the words for how well a limit is supported.
var statuses = []string{"seen", "second hand", "memory", "practice"}

func TestRulesAndChecksAreOneToOne(t *testing.T) {
	b := Defaults()
	rows := map[string]bool{}
	for _, r := range b.Rules {
		if rows[r.Name] {
			t.Errorf("rule %s has two rows", r.Name)
		}
		rows[r.Name] = true
		if r.Ref == "" || r.Title == "" || r.Severity.Rank() == 0 || r.Source == "" || r.Clears == "" || !slices.Contains(statuses, r.Status) {
			t.Errorf("rule %s: the row lacks a number, title, severity, source, status or what clears it: %+v", r.Name, r)
		}
		for name, l := range r.Levels {
			if !slices.Contains([]string{">", ">=", "<", "<="}, l.Op) || l.Unit == "" || (l.Severity != "" && l.Severity.Rank() == 0) || (l.Status != "" && !slices.Contains(statuses, l.Status)) {
				t.Errorf("rule %s: level %s: %+v is no limit", r.Name, name, l)
			}
		}
	}
	for _, f := range families {
		for name := range f.checks {
			if r := b.Rule(name); r == nil || r.Family != f.name {
				t.Errorf("check %s of %s has no row in rules/%s.yaml", name, f.name, f.name)
			}
			delete(rows, name)
		}
	}
	for _, name := range slices.Sorted(maps.Keys(rows)) {
		t.Errorf("rule %s has a row and no check", name)
	}
}

func TestOverride(t *testing.T) {
	for _, tt := range []struct {
		name string
		in   []Change
		want string // part of the error; empty for none
	}{
		{"limit", []Change{{Rule: "clock-off", Limits: map[string]float64{"off": 300}, Source: "standing order"}}, ""},
		{"small letters", []Change{{Rule: "shift-average-over", Limits: map[string]float64{"co": 25}, Source: "county"}}, ""},
		{"off", []Change{{Rule: "clock-off", Off: "no device has a clock"}}, ""},
		{"no such rule", []Change{{Rule: "clock-of", Off: "x"}}, `there is no rule "clock-of"`},
		{"no such limit", []Change{{Rule: "clock-off", Limits: map[string]float64{"on": 3}, Source: "x"}}, `has no limit "on"; it has off > 60 s`},
		{"no number", []Change{{Rule: "clock-off", Limits: map[string]float64{"off": math.NaN()}, Source: "x"}}, "limit off is NaN; give a number"},
		{"no end", []Change{{Rule: "clock-off", Limits: map[string]float64{"off": math.Inf(1)}, Source: "x"}}, "limit off is +Inf; give a number"},
		{"no source", []Change{{Rule: "clock-off", Limits: map[string]float64{"off": 3}}}, "no source"},
		{"twice", []Change{{Rule: "clock-off", Off: "x"}, {Rule: "clock-off", Off: "x"}}, "twice"},
		{"nothing", []Change{{Rule: "clock-off"}}, "nothing is said"},
		{"severity", []Change{{Rule: "clock-off", Severity: "grave"}}, `severity "grave"`},
	} {
		t.Run(tt.name, func(t *testing.T) {
			b := Defaults()
			err := b.Override(tt.in)
			if tt.want == "" && (err != nil || b.Name() == Defaults().Name()) {
				t.Errorf("Override = %v, name %q; want no fault and a new name", err, b.Name())
			}
			if tt.want != "" && (err == nil || !strings.Contains(err.Error(), tt.want)) {
				t.Errorf("Override = %v, want %q", err, tt.want)
			}
		})
	}
	if got := Defaults().Rule("clock-off").Levels["off"].Value; got != 60 {
		t.Errorf("the defaults were changed: %g", got)
	}
}

// TestEveryNumberedRule says that each rule of the trade, numbered S01 to S54, is held
// against the log or named as one that a log does not answer.
func TestEveryNumberedRule(t *testing.T) {
	b := Defaults()
	have := map[string]bool{}
	for _, r := range b.Rules {
		have[r.Ref] = true
	}
	for _, s := range b.Silent {
		if s.Why == "" {
			t.Errorf("%s is not answered and nobody says why", s.Ref)
		}
		have[s.Ref] = true
	}
	for n := 1; n <= 54; n++ {
		if ref := fmt.Sprintf("S%02d", n); !have[ref] {
			t.Errorf("%s is neither a rule nor named as not answered", ref)
		}
	}
	for _, ref := range []string{"C4", "C15", "GATE", "EPCRA", "171.16"} {
		if !have[ref] {
			t.Errorf("%s is neither a rule nor named as not answered", ref)
		}
	}
}
