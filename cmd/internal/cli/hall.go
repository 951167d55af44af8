package cli

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"net/http"
	"path/filepath"
	"slices"
	"sync"

	"tankside/cmd/internal/console"
	"tankside/cmd/internal/move"
	"tankside/cmd/internal/remote"
	"tankside/events"
	"tankside/projections/live"
)

// hall is the incidents that this process serves, each with a console at an address of
// its own: the pages of two incidents share nothing that a browser could confuse.
type hall struct {
	ss    *session
	s     *settings
	alone string // the one name that is served, where a demonstration plays; "" serves any

	ctx     context.Context // of the consoles
	stop    context.CancelCauseFunc
	working sync.WaitGroup

	opening sync.Mutex // one console at a time is opened
	mu      sync.Mutex // guards what is below
	rooms   []*room    // in the order in which they were opened
	names   map[string]string
	notes   addresses
}

// room is one incident with its console.
type room struct {
	inc   *incident
	live  *live.Follower
	pages *console.Console
	doors *doors
	ctx   context.Context
	stop  context.CancelFunc
}

// newHall makes a hall that serves nothing yet.
func (ss *session) newHall(ctx context.Context, s *settings) *hall {
	h := &hall{ss: ss, s: s, names: map[string]string{}, notes: readAddresses(ss.Dir())}
	h.ctx, h.stop = context.WithCancelCause(ctx)
	return h
}

// console is what others are told of a room.
func (r *room) console() remote.Console {
	return remote.Console{Incident: r.inc.name, Page: "http://" + r.doors.here.Addr().String() + "/", Told: r.doors.told()}
}

// open serves the console of an incident whose log has been begun, or finds the one that
// is served. It returns when the board stands.
func (h *hall) open(ctx context.Context, name string, o serving) (*room, error) {
	h.opening.Lock()
	defer h.opening.Unlock()
	if r := h.room(name); r != nil {
		if o.lan && r.doors.lan == nil {
			return nil, usage("open %q --lan: its console is open to this machine alone; end it with tankside close %q and open it again with --lan", r.inc.name, r.inc.name)
		}
		return r, nil
	}
	if err := h.Refuses(name); err != nil {
		return nil, err
	}
	inc, err := h.ss.load(ctx, name)
	switch {
	case err != nil:
		return nil, err
	case len(inc.entries) == 0 && h.alone == "":
		return nil, usage("no incident %q here yet; begin it with tankside open %q", name, name)
	}
	o.scribe = cmp.Or(o.scribe, h.notes.of(inc.id).Scribe)
	r, err := h.furnish(inc, o)
	if err != nil {
		return nil, err
	}
	h.mu.Lock()
	h.rooms = append(h.rooms, r)
	err = h.notes.keep(h.ss.Dir(), inc, o, r.doors, h.alone == "")
	h.mu.Unlock()
	if err != nil {
		h.ss.app.log(h.s).Warn("addresses of the consoles", "err", err) // only for convenience
	}
	h.working.Go(func() { h.occupy(r) })
	return r, r.live.AwaitScene(ctx, lastOf(inc.entries))
}

// furnish makes the console of an incident.
func (h *hall) furnish(inc *incident, o serving) (*room, error) {
	r := &room{inc: inc}
	var err error
	if r.live, err = h.ss.follow(h.s, inc); err != nil {
		return nil, err
	}
	if r.doors, err = o.doors(h.notes.of(inc.id), h.ss.app.wall()); err != nil {
		return nil, err
	}
	if r.pages, err = h.pages(inc, o, r); err != nil {
		return nil, errors.Join(err, r.doors.close())
	}
	if err := r.pages.ReadDrafts(draftsFile(h.ss.Dir(), inc)); err != nil {
		return nil, errors.Join(err, r.doors.close())
	}
	r.pages.See(lastOf(inc.entries))
	r.ctx, r.stop = context.WithCancel(h.ctx)
	return r, nil
}

// occupy serves a room until it is ended or breaks.
func (h *hall) occupy(r *room) {
	err := together(r.ctx, r.live.Run, func(ctx context.Context) error {
		return r.doors.serve(ctx, func() *http.Server { return console.Server(ctx, r.pages.Handler(), h.ss.app.log(h.s)) })
	}, func(ctx context.Context) error { return r.pages.KeepDrafts(ctx, draftsFile(h.ss.Dir(), r.inc)) })
	r.stop()
	h.left(r, errors.Join(err, r.doors.close()))
}

// pages makes the pages of an incident.
func (h *hall) pages(inc *incident, o serving, r *room) (*console.Console, error) {
	a := h.ss.app
	mode := o.mode
	if len(inc.entries) > 0 {
		mode = inc.entries[0].Mode
	}
	room, err := h.ss.room(h.s, inc)
	if err != nil {
		return nil, err
	}
	c := console.Config{
		Log: inc.log, Name: inc.name, Live: r.live, Catalogue: a.catalogue, Now: a.Now, Wall: a.wall, Trouble: a.cannot.text,
		Desk: room, Signed: filepath.Join(h.ss.Dir(), "signed"), Hosts: r.doors.hosts(), Scribe: o.scribe, Mode: mode, Program: a.log(h.s), Beside: besides{h, inc},
	}
	if r.doors.lan != nil {
		c.Pairing = console.NewPairing()
	}
	return console.New(c), nil
}

// left takes a room that has ended off the list. One that broke leaves the others alone;
// with the last the process ends.
func (h *hall) left(r *room, err error) {
	h.mu.Lock()
	h.rooms = slices.DeleteFunc(h.rooms, func(o *room) bool { return o == r })
	last := len(h.rooms) == 0
	h.mu.Unlock()
	switch {
	case last:
		h.stop(err)
	case err != nil:
		fmt.Fprintf(h.ss.app.Err, "tankside: the console of %s has ended: %s; the others go on, and tankside open %q opens it again\n", r.inc.name, oneLine(err), r.inc.name)
	}
}

// room is that of an incident, nil where it is not served.
func (h *hall) room(name string) *room {
	h.mu.Lock()
	defer h.mu.Unlock()
	i := slices.IndexFunc(h.rooms, func(r *room) bool { return r.inc.id == events.IncidentID(name) })
	if i < 0 {
		return nil
	}
	return h.rooms[i]
}

// all lists the rooms.
func (h *hall) all() []*room {
	h.mu.Lock()
	defer h.mu.Unlock()
	return slices.Clone(h.rooms)
}

// Consoles lists the consoles for other commands.
func (h *hall) Consoles() (out []remote.Console) {
	for _, r := range h.all() {
		out = append(out, r.console())
	}
	return out
}

// Refuses says why an incident will not be served here, nil where it may be.
func (h *hall) Refuses(incident string) error {
	if h.alone == "" || events.IncidentID(incident) == events.IncidentID(h.alone) {
		return nil
	}
	return usage("open %q: another process plays a demonstration from this folder, by the hour of that night; give this incident a folder of its own with --dir", incident)
}

// Open serves one more incident for another command.
func (h *hall) Open(ctx context.Context, a remote.Ask) (remote.Console, error) {
	served := h.room(a.Incident) != nil
	r, err := h.open(ctx, a.Incident, serving{listen: a.Listen, lan: a.LAN, scribe: a.Scribe})
	if err != nil {
		return remote.Console{}, err
	}
	if !served {
		h.ss.app.tell("%s", at(r.console()))
	}
	return r.console(), nil
}

// End ends the console of an incident: it is not served again at the next start either.
func (h *hall) End(_ context.Context, incident string) error {
	r := h.room(incident)
	if r == nil {
		return usage("no console of %q is served; tankside incidents lists those that are", incident)
	}
	h.mu.Lock()
	err := h.notes.close(h.ss.Dir(), r.inc.id)
	h.mu.Unlock()
	h.ss.app.tell("%s: its console has ended; the log stays.\n", r.inc.name)
	r.stop()
	return err
}

// besides is the hall as the console of one incident sees it.
type besides struct {
	*hall
	inc *incident
}

// Open lists the other incidents that are served.
func (b besides) Open() (out []console.Other) {
	for _, r := range b.all() {
		if r.inc.id != b.inc.id {
			out = append(out, console.Other{Name: r.inc.name, Page: r.console().Page, New: r.pages.New()})
		}
	}
	return out
}

// Names are those of the other incidents of the folder.
func (b besides) Names() []string {
	var out []string
	for _, id := range b.ss.Incidents() {
		if id != b.inc.id {
			out = append(out, b.name(id))
		}
	}
	return out
}

// name is the name of an incident by its identifier, as its first entry has it.
func (h *hall) name(id string) string {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.names[id] == "" {
		name, err := h.ss.nameOf(h.ctx, id)
		if err != nil {
			return id // whatever reads its log says what is wrong
		}
		h.names[id] = name
	}
	return h.names[id]
}

// Move takes an entry into the log of another incident.
func (b besides) Move(ctx context.Context, e *events.Entry, to string, strike events.Draft) (here, there events.Seq, err error) {
	m, err := b.ss.move(ctx, e, b.inc, to, strike)
	return m.Strike, m.There, err
}

// move takes an entry of inc into the log of another incident of the folder.
func (ss *session) move(ctx context.Context, e *events.Entry, inc *incident, to string, strike events.Draft) (move.Moved, error) {
	target, err := ss.load(ctx, to)
	if err != nil {
		return move.Moved{}, err
	}
	return move.Entry(ctx, ss.app.catalogue, e, inc.place(e.Mode), target.place(""), strike)
}

// place is the incident as entries are moved out of and into it.
func (inc *incident) place(mode events.Mode) move.Place {
	if len(inc.entries) > 0 {
		mode = inc.entries[0].Mode
	}
	return move.Place{Incident: inc.name, Mode: mode, Log: inc.log}
}
