package remote

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"time"

	"tankside/events"
)

// ErrAsked says that what was asked of the process that serves the folder cannot be done
// as it was asked; the text says what can.
const ErrAsked events.Error = "remote: not as it was asked"

// Console is where the pages of an incident are served.
type Console struct {
	Incident string `json:"incident"` // its name
	Page     string `json:"page"`     // where a browser of this machine finds it
	Told     string `json:"told"`     // where other machines find it, in words; "" where they may not come
}

// Ask is a console that is asked for.
type Ask struct {
	Incident string `json:"incident"` // by name or identifier; its log has been begun
	Listen   string `json:"listen"`   // address and port; "" is any
	LAN      bool   `json:"lan"`      // other machines of the scene may come
	Scribe   string `json:"scribe"`   // role of whoever types on this machine
}

// Consoles are the consoles of the process that serves a folder. All methods may be
// called from many goroutines. What cannot be done as asked is ErrAsked.
type Consoles interface {
	// Consoles lists them in the order in which they were opened.
	Consoles() []Console
	// Refuses says why the console of an incident will not be served, nil where it may be.
	Refuses(incident string) error
	// Open serves the console of one more incident, or finds the one that is served.
	Open(ctx context.Context, a Ask) (Console, error)
	// End ends the console of an incident; its log and the other consoles stay.
	End(ctx context.Context, incident string) error
}

// none are the consoles of a process that has none.
type none struct{}

// Consoles lists none.
func (none) Consoles() []Console { return nil }

// Refuses refuses all.
func (none) Refuses(string) error {
	return fmt.Errorf("%w: the process that has the folder open serves no console; stop that one and try again", ErrAsked)
}

// Open opens none.
func (n none) Open(_ context.Context, a Ask) (Console, error) {
	return Console{}, n.Refuses(a.Incident)
}

// End finds none.
func (none) End(_ context.Context, incident string) error {
	return fmt.Errorf("%w: no console of %q is served", ErrAsked, incident)
}

// show serves one more console.
func (s *Server) show(w http.ResponseWriter, r *http.Request) error {
	var a Ask
	if err := json.NewDecoder(r.Body).Decode(&a); err != nil {
		return fmt.Errorf("%w: %w", events.ErrInvalid, err)
	}
	c, err := s.cfg.Consoles.Open(r.Context(), a)
	if err != nil {
		return err
	}
	return json.NewEncoder(w).Encode(c)
}

// mayShow answers whether the console of an incident may be asked for.
func (s *Server) mayShow(_ http.ResponseWriter, r *http.Request) error {
	return s.cfg.Consoles.Refuses(r.PathValue("incident"))
}

// hide ends a console.
func (s *Server) hide(_ http.ResponseWriter, r *http.Request) error {
	return s.cfg.Consoles.End(r.Context(), r.PathValue("incident"))
}

// openTime is how long the other process may take to open a console: it works out the
// board of a long log first.
const openTime = time.Minute

// Consoles are the consoles that the other process served when it was reached.
func (c *Client) Consoles() []Console { return slices.Clone(c.about.Consoles) }

// Refuses asks the other process whether it would serve the console of an incident, before
// anything is begun for it.
func (c *Client) Refuses(ctx context.Context, incident string) error {
	return c.console(ctx, http.MethodGet, incident)
}

// Open asks the other process to serve the console of one more incident.
func (c *Client) Open(ctx context.Context, a Ask) (opened Console, err error) {
	body, err := json.Marshal(a)
	if err != nil {
		return opened, err
	}
	ctx, cancel := context.WithTimeout(ctx, openTime)
	defer cancel()
	resp, err := c.ask(ctx, http.MethodPost, "/console", body)
	if err != nil {
		return opened, err
	}
	defer resp.Body.Close()
	return opened, json.NewDecoder(resp.Body).Decode(&opened)
}

// End asks the other process to end the console of an incident.
func (c *Client) End(ctx context.Context, incident string) error {
	return c.console(ctx, http.MethodDelete, incident)
}

func (c *Client) console(ctx context.Context, method, incident string) error {
	ctx, cancel := context.WithTimeout(ctx, openTime)
	defer cancel()
	resp, err := c.ask(ctx, method, "/console/"+url.PathEscape(incident), nil)
	if err != nil {
		return err
	}
	return resp.Body.Close()
}
