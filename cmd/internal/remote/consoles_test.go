package remote

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"tankside/events/logtest"
)

// desk is the consoles of a process.
type desk struct{ open []Console }

func (d *desk) Consoles() []Console { return d.open }

func (d *desk) Refuses(incident string) error {
	if incident == "refused" {
		return fmt.Errorf("%w: not this one", ErrAsked)
	}
	return nil
}

func (d *desk) Open(_ context.Context, a Ask) (Console, error) {
	if a.Listen != "" {
		return Console{}, fmt.Errorf("%w: --listen: %s is taken", ErrAsked, a.Listen)
	}
	c := Console{Incident: a.Incident, Page: "http://127.0.0.1:2/", Told: fmt.Sprint(a.LAN, " ", a.Scribe)}
	d.open = append(d.open, c)
	return c, nil
}

func (d *desk) End(_ context.Context, incident string) error {
	n := len(d.open)
	if d.open = slices.DeleteFunc(d.open, func(c Console) bool { return c.Incident == incident }); len(d.open) == n {
		return fmt.Errorf("%w: no console of %q", ErrAsked, incident)
	}
	return nil
}

// TestConsoles opens and ends consoles of the other process, and asks for what cannot be.
func TestConsoles(t *testing.T) {
	j, s, c := mustServe(t, t.TempDir())
	if _, err := c.Open(t.Context(), Ask{Incident: "Mill Hill"}); !errors.Is(err, ErrAsked) {
		t.Errorf("of a process without consoles: %v", err)
	}
	s.cfg.Consoles = &desk{}
	for _, name := range []string{"Mill Hill", "Tank 5/6 “é”"} {
		got, err := c.Open(t.Context(), Ask{Incident: name, LAN: true, Scribe: "Scribe"})
		if want := (Console{name, "http://127.0.0.1:2/", "true Scribe"}); err != nil || got != want {
			t.Errorf("Open = %+v, %v; want %+v", got, err, want)
		}
	}
	for name, want := range map[string]error{"refused": ErrAsked, "Mill Hill": nil} {
		if err := c.Refuses(t.Context(), name); !errors.Is(err, want) {
			t.Errorf("Refuses %s = %v, want %v", name, err, want)
		}
	}
	if _, err := c.Open(t.Context(), Ask{Incident: "x", Listen: "127.0.0.1:1"}); !errors.Is(err, ErrAsked) || !strings.Contains(err.Error(), "is taken") {
		t.Errorf("what cannot be: %v", err)
	}
	again, err := Dial(t.Context(), j.Dir(), logtest.Catalogue(), nil)
	if err != nil {
		t.Fatal(err)
	}
	defer again.Close()
	if got := again.Consoles(); len(got) != 2 {
		t.Errorf("Consoles = %v, want 2", got)
	}
	if err := c.End(t.Context(), "Tank 5/6 “é”"); err != nil || len(s.cfg.Consoles.Consoles()) != 1 {
		t.Errorf("End: %v, left %v", err, s.cfg.Consoles.Consoles())
	}
	if err := c.End(t.Context(), "nowhere"); !errors.Is(err, ErrAsked) {
		t.Errorf("End of none: %v", err)
	}
}
