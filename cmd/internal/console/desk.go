package console

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"

	"tankside/cmd/internal/desk"
	"tankside/events"
	"tankside/events/kinds"
)

// deskTable is the desk as it was made last. What is worked out of it goes one at a time.
type deskTable struct {
	sync.Mutex
	made *desk.Desk
}

// deskAt lets do work at the desk as it is after some entries.
func (c *Console) deskAt(entries []events.Recorded, do func(*desk.Desk) error) error {
	c.table.Lock()
	defer c.table.Unlock()
	if d := c.table.made; d == nil || len(d.Entries) != len(entries) {
		c.table.made = c.cfg.Desk.At(entries)
	}
	return do(c.table.made)
}

// logged reads the log to its very end, which those who follow it may not have yet.
func (c *Console) logged(ctx context.Context) (out []events.Recorded, err error) {
	for r, err := range c.cfg.Log.Read(ctx, 1) {
		if err != nil {
			return nil, err
		}
		out = append(out, r)
	}
	return out, nil
}

// deskRoutes are what the desk's page asks for.
func (c *Console) deskRoutes(mux *http.ServeMux) {
	mux.HandleFunc("POST /desk/write", c.deskWrite)
	mux.HandleFunc("POST /desk/draft", c.deskDraft)
	mux.HandleFunc("POST /desk/sign", c.deskSign)
	mux.HandleFunc("GET /desk/report", c.deskReport)
	mux.HandleFunc("GET /desk/signed/{file}", c.deskSigned)
}

// deskAsk is what is written at the desk's page.
type deskAsk struct {
	desk.Ask
	ID   string     `json:"id"`   // made by the page, so that what is sent twice is one entry
	Seen events.Seq `json:"seen"` // the entry that stood there when this was begun, 0 for none
}

// deskAnswer is what a page gets for it.
type deskAnswer struct {
	Seq   events.Seq `json:"seq,omitempty"`
	Code  string     `json:"code,omitempty"`
	Why   string     `json:"why,omitempty"`
	Stood events.Seq `json:"stood,omitempty"` // what somebody else wrote there meanwhile
}

// errMeanwhile says that somebody else has written there since the page was shown.
type errMeanwhile struct{ seq events.Seq }

// Error says so.
func (e errMeanwhile) Error() string {
	return fmt.Sprintf("Entry %d was written here meanwhile. Nothing is lost: it stands above, and your words are kept in their place. Look at both, then save yours over it or drop them.", e.seq)
}

// errElsewhere says what a paired machine may not do.
const errElsewhere events.Error = "This machine is paired: it may comment, remark and add findings of its own. What is taken, left out, written or signed is done at the scribe's machine."

// deskWrite saves what is written at the desk, where nobody else has written there
// since the page was shown.
func (c *Console) deskWrite(w http.ResponseWriter, r *http.Request) {
	var a deskAsk
	in := json.NewDecoder(r.Body)
	in.DisallowUnknownFields()
	id, err := events.ID(""), in.Decode(&a)
	if err == nil {
		id, err = events.ParseID(a.ID)
	}
	if err != nil {
		deskReply(w, http.StatusBadRequest, deskAnswer{Why: "This page sent what cannot be read: " + err.Error() + ". Load the page again."})
		return
	}
	if guest := c.role(r); guest != "" {
		if !guestMay(a) {
			deskReply(w, http.StatusForbidden, deskAnswer{Why: errElsewhere.Error()})
			return
		}
		a.Role = guest
	}
	ctx, cancel := context.WithTimeout(context.WithoutCancel(r.Context()), saveTime)
	defer cancel()
	seq, err := c.write(ctx, id, a, c.writer(r))
	deskReply(w, statusOf(err), answered(seq, err))
}

// guestMay reports whether another machine may do this: it adds, and only adds.
func guestMay(a deskAsk) bool {
	return a.Do == "comment" || a.Do == "remark" || a.Do == "write" && a.Name == ""
}

// write makes an entry of what was written and puts it behind the log as it was looked
// at; where the log has gone on it looks again.
func (c *Console) write(ctx context.Context, id events.ID, a deskAsk, by string) (events.Seq, error) {
	for {
		entries, err := c.logged(ctx)
		if err != nil {
			return 0, err
		}
		for i := range entries {
			if entries[i].ID == id {
				return entries[i].Seq, nil // sent again
			}
		}
		var d events.Draft
		err = c.deskAt(entries, func(at *desk.Desk) error {
			p, err := at.Make(a.Ask)
			if err != nil {
				return errAsked{err}
			}
			if stands := at.Stands(p); stands != a.Seen {
				return errMeanwhile{stands}
			}
			d = at.Draft(c.cfg.Now(), by, p)
			return nil
		})
		if err != nil {
			return 0, err
		}
		d.ID = id
		saved, err := c.cfg.Log.AppendAfter(ctx, lastOf(entries), d)
		if errors.Is(err, events.ErrMovedOn) {
			continue
		}
		if err != nil {
			return 0, err
		}
		return saved.Seq, c.await(ctx, saved.Seq)
	}
}

// errAsked is a fault in what was asked for.
type errAsked struct{ error }

func lastOf(entries []events.Recorded) events.Seq {
	if len(entries) == 0 {
		return 0
	}
	return entries[len(entries)-1].Seq
}

// statusOf is how an error is answered.
func statusOf(err error) int {
	var asked errAsked
	var meanwhile errMeanwhile
	switch {
	case err == nil:
		return http.StatusOK
	case errors.As(err, &meanwhile), errors.Is(err, events.ErrMovedOn):
		return http.StatusConflict
	case errors.As(err, &asked), errors.Is(err, events.ErrInvalid):
		return http.StatusUnprocessableEntity
	}
	return http.StatusServiceUnavailable
}

// answered is the answer to what was saved, or why it was not. What is saved is saved,
// also where its state is long in coming.
func answered(seq events.Seq, err error) deskAnswer {
	var asked errAsked
	var meanwhile errMeanwhile
	switch {
	case seq != 0:
		return deskAnswer{Seq: seq}
	case errors.As(err, &meanwhile):
		return deskAnswer{Why: err.Error(), Stood: meanwhile.seq}
	case errors.As(err, &asked):
		return deskAnswer{Why: "Not saved: " + err.Error() + "."}
	}
	return deskAnswer{Why: "NOT SAVED: " + err.Error()}
}

func deskReply(w http.ResponseWriter, status int, a deskAnswer) {
	if a.Seq != 0 {
		status = http.StatusOK
	}
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(status)
	_ = json.NewEncoder(w).Encode(a) // a page that is gone asks again
}

// deskDraft keeps how far a text has come.
func (c *Console) deskDraft(_ http.ResponseWriter, r *http.Request) {
	c.texts.keep(c.browserOf(r)+" "+r.PostFormValue("field"), r.PostFormValue("text"), c.cfg.Wall())
}

// reportPolicy lets the report have the style it carries; it has no script.
const reportPolicy = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"

// deskReport shows the report as it stands.
func (c *Console) deskReport(w http.ResponseWriter, r *http.Request) {
	entries, err := c.logged(r.Context())
	var page []byte
	if err == nil {
		err = c.deskAt(entries, func(d *desk.Desk) (err error) {
			page, err = d.Report()
			return err
		})
	}
	if err != nil {
		c.fault(w, err)
		return
	}
	w.Header().Set("Content-Security-Policy", reportPolicy)
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	_, _ = w.Write(page) // a reader that is gone is not our fault
}

// signAsk is a signature that is asked for: of the report after the entry, whose hash
// the page showed.
type signAsk struct {
	Name  string     `json:"name"`
	Role  string     `json:"role"`
	After events.Seq `json:"after"`
	Head  string     `json:"head"`
}

// deskSign signs the report as the page showed it, or not at all.
func (c *Console) deskSign(w http.ResponseWriter, r *http.Request) {
	var a signAsk
	if err := json.NewDecoder(r.Body).Decode(&a); err != nil {
		deskReply(w, http.StatusBadRequest, deskAnswer{Why: "This page sent what cannot be read: " + err.Error() + ". Load the page again."})
		return
	}
	if c.role(r) != "" || !fromHere(r) || c.cfg.Signed == "" {
		deskReply(w, http.StatusForbidden, deskAnswer{Why: errElsewhere.Error()})
		return
	}
	ctx, cancel := context.WithTimeout(context.WithoutCancel(r.Context()), saveTime)
	defer cancel()
	signed, err := c.sign(ctx, a)
	if errors.Is(err, events.ErrMovedOn) {
		deskReply(w, http.StatusConflict, deskAnswer{Why: "Nothing is signed: " + err.Error() + ". Look at what came in, then confirm again."})
		return
	}
	answer := answered(signed.Entry, err)
	answer.Code = signed.Code
	deskReply(w, statusOf(err), answer)
}

func (c *Console) sign(ctx context.Context, a signAsk) (signed desk.Signed, err error) {
	entries, err := c.logged(ctx)
	if err != nil {
		return signed, err
	}
	err = c.deskAt(entries, func(d *desk.Desk) (err error) {
		if d.Last() != a.After || d.Head() != a.Head {
			return fmt.Errorf("%w: entry %d is the last now, and you were shown the report after entry %d", events.ErrMovedOn, d.Last(), a.After)
		}
		signed, err = d.Sign(ctx, c.cfg.Log, desk.Signer{Name: a.Name, Role: a.Role}, c.keepSigned)
		if errors.Is(err, desk.ErrUnnamed) || errors.Is(err, desk.ErrNothing) {
			return errAsked{err}
		}
		return err
	})
	if err == nil {
		err = c.await(ctx, signed.Entry)
	}
	return signed, err
}

// signedName is the name of a signed report in its folder, without the ending.
func (c *Console) signedName(code string) string {
	return events.IncidentID(c.cfg.Name) + "-" + code
}

// keepSigned writes a signed report into the folder for them.
func (c *Console) keepSigned(s desk.Signed) (func() error, error) {
	if err := os.MkdirAll(c.cfg.Signed, 0o755); err != nil {
		return nil, err
	}
	base := filepath.Join(c.cfg.Signed, c.signedName(s.Code))
	undo := func() error { return errors.Join(os.Remove(base+".md"), os.Remove(base+".html")) }
	if err := replace(base+".md", s.Text); err != nil {
		return nil, err
	}
	if err := replace(base+".html", s.Page); err != nil {
		return nil, errors.Join(err, os.Remove(base+".md"))
	}
	return undo, nil
}

var signedFile = regexp.MustCompile(`^[\p{L}\p{N}-]+-[0-9a-f]{4}-[0-9a-f]{4}\.(md|html)$`)

// deskSigned gives out a signed report, byte for byte.
func (c *Console) deskSigned(w http.ResponseWriter, r *http.Request) {
	name := r.PathValue("file")
	if !signedFile.MatchString(name) || !strings.HasPrefix(name, events.IncidentID(c.cfg.Name)+"-") || c.cfg.Signed == "" {
		http.NotFound(w, r)
		return
	}
	text, err := os.ReadFile(filepath.Join(c.cfg.Signed, name))
	if err != nil {
		http.Error(w, "This signed report is not in "+c.cfg.Signed+".", http.StatusNotFound)
		return
	}
	w.Header().Set("Content-Security-Policy", reportPolicy)
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	if strings.HasSuffix(name, ".md") {
		w.Header().Set("Content-Type", "text/markdown; charset=utf-8")
	}
	w.Header().Set("Content-Disposition", cmp.Or(map[bool]string{true: "attachment"}[r.URL.Query().Has("save")], "inline")+`; filename="`+name+`"`)
	_, _ = w.Write(text) // a reader that is gone is not our fault
}

// ofDesk reports whether a payload is written at the desk, which another machine may not
// do by its line either.
func ofDesk(p events.Payload) bool {
	switch p.(type) {
	case kinds.FindingTaken, kinds.FindingDismissed, kinds.SectionWritten, kinds.OutcomeWritten, kinds.RecommendationMade, kinds.ReportMoved, kinds.ReportSigned:
		return true
	}
	return false
}

// there reports whether a file is there.
func there(name string) bool {
	_, err := os.Stat(name)
	return err == nil
}
