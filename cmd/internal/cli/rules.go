package cli

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/viper"

	"tankside/projections/findings"
)

// rulesFile is what the department says of the rules, in its data folder.
const rulesFile = "rules.yaml"

// rules is the book in force and the file that changed it, "" for none.
type rules struct {
	*findings.Book
	file string
}

// rules reads the rules in force: the file of --rules, else the one in the data folder
// if there is one, over the rules of the trade.
func (s *settings) rules() (*rules, error) {
	r := &rules{Book: findings.Defaults()}
	name := s.v.GetString(flagRules)
	if name == "" {
		dir, err := s.dir()
		if err != nil {
			return nil, err
		}
		name = filepath.Join(dir, rulesFile)
		if _, err := os.Stat(name); errors.Is(err, fs.ErrNotExist) {
			return r, nil
		}
	}
	changes, err := readRules(name)
	if err == nil {
		err = r.Override(changes)
	}
	if err != nil {
		return nil, usage("rules: %s: %w", name, err)
	}
	r.file = name
	return r, nil
}

// readRules reads what a file says of the rules.
func readRules(name string) ([]findings.Change, error) {
	v := viper.New()
	v.SetConfigFile(name)
	v.SetConfigType("yaml")
	if err := v.ReadInConfig(); err != nil {
		if errors.Is(err, fs.ErrNotExist) {
			return nil, errors.New("no such file; check the name, or leave --rules out for the rules of the trade")
		}
		return nil, fmt.Errorf("not YAML as it should be: %w", err)
	}
	var doc struct{ Rules []findings.Change }
	if err := v.UnmarshalExact(&doc); err != nil {
		return nil, fmt.Errorf("%w; tankside findings --help lists what may be said of a rule", plainly(err))
	}
	if len(doc.Rules) == 0 {
		return nil, errors.New("no rule in it; begin with \"rules:\" and one \"- rule: NAME\" for each")
	}
	for i, c := range doc.Rules {
		if slices.Contains([]string{"1", "0", "true", "false", "yes", "no", "on", "off"}, strings.ToLower(c.Off)) {
			return nil, fmt.Errorf("rule %d, %s: \"off\" wants the reason, such as \"off: no suits on this team\"; it is printed in every report", i+1, c.Rule)
		}
	}
	return changes(doc.Rules), nil
}

// changes are what a file says, without blanks around it.
func changes(all []findings.Change) []findings.Change {
	for i := range all {
		all[i].Rule, all[i].Off = strings.TrimSpace(all[i].Rule), strings.TrimSpace(all[i].Off)
	}
	return all
}

// ruleLevel and ruleInfo are what is printed of a rule as data.
type ruleLevel struct {
	Name  string  `json:"level"`
	Op    string  `json:"op"`
	Value float64 `json:"value"`
	Unit  string  `json:"unit"`
}

type ruleInfo struct {
	Rule     string      `json:"rule"`
	Ref      string      `json:"ref"`
	Title    string      `json:"title"`
	Family   string      `json:"family"`
	Severity string      `json:"severity"`
	Limits   []ruleLevel `json:"limits"`
	Source   string      `json:"source"`
	Edition  string      `json:"edition,omitempty"`
	Status   string      `json:"status"`
	Clears   string      `json:"clears"`
	Off      string      `json:"off,omitempty"`
	Changed  []string    `json:"changed"`
}

func (r *rules) info() (out []ruleInfo) {
	for _, rule := range r.Rules {
		i := ruleInfo{rule.Name, rule.Ref, rule.Title, rule.Family, string(rule.Severity), []ruleLevel{}, rule.Source, rule.Edition,
			rule.Status, rule.Clears, rule.Off, append([]string{}, rule.Changed...)}
		for name, l := range rule.Levels {
			i.Limits = append(i.Limits, ruleLevel{name, l.Op, l.Value, l.Unit})
		}
		slices.SortFunc(i.Limits, func(a, b ruleLevel) int { return cmp.Compare(a.Name, b.Name) })
		out = append(out, i)
	}
	return out
}

// list prints every rule with its limits, its source and whether it is on.
func (r *rules) list(a *App) error {
	g := grid{heads: []string{"ref", "rule", "limits", "source", ""}}
	for _, i := range r.info() {
		var limits []string
		for _, l := range i.Limits {
			limits = append(limits, unbroken(fmt.Sprintf("%s %s %s %s", l.Name, l.Op, digits(l.Value), l.Unit)))
		}
		mark := ""
		switch {
		case i.Off != "":
			mark = "OFF"
		case len(i.Changed) > 0:
			mark = "*"
		}
		source := strings.TrimSpace(i.Source + " " + i.Edition)
		if i.Status != "practice" {
			source += " (" + i.Status + ")"
		}
		g.add(i.Ref, i.Rule, strings.Join(limits, ", "), source, mark)
	}
	if err := g.print(a.Out); err != nil {
		return err
	}
	b := &board{w: a.Out}
	for _, rule := range r.Rules {
		if rule.Off != "" {
			b.para("OFF %s %s: %s", rule.Ref, rule.Name, rule.Off)
		}
	}
	b.printf("\nNOT ANSWERED FROM A LOG\n")
	for _, s := range r.Silent {
		b.para("%s: %s", s.Ref, s.Why)
	}
	if r.file == "" {
		b.printf("\nNo file changes them; %s in the data folder, or --rules FILE, would.\n", rulesFile)
	} else {
		b.printf("\nCHANGED (*, OFF) by %s\n", r.file)
	}
	return b.err
}
