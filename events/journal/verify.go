package journal

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"

	"tankside/events"
)

// Report is what a look at a data folder found.
type Report struct {
	Logs     []LogReport
	Findings []Finding
}

// LogReport is the state of one incident's log.
type LogReport struct {
	Incident string
	Entries  int
	Last     events.Seq
	Head     events.Hash // hash of the last entry
}

// OK reports whether nothing is damaged. Notes do not count.
func (r Report) OK() bool { return !damaged(r.Findings) }

// Verify looks at a data folder that no process has open and changes nothing in
// it: the store is opened as a copy. Of cfg it uses Dir, Catalogue and Log. It
// returns ErrNoLog where there is nothing to look at and ErrLocked while a process
// has the folder open.
func Verify(ctx context.Context, cfg Config) (Report, error) {
	if !exists(filepath.Join(cfg.Dir, "copy")) && !exists(filepath.Join(cfg.Dir, "store")) {
		return Report{}, fmt.Errorf("%w: %s", ErrNoLog, cfg.Dir)
	}
	release, err := holdStill(cfg.Dir)
	if err != nil {
		return Report{}, err
	}
	defer release()
	h, headErr := readHead(cfg.Dir)
	scratch, err := os.MkdirTemp("", "verify-")
	if err != nil {
		return Report{}, fmt.Errorf("journal: verify: %w", err)
	}
	defer os.RemoveAll(scratch)
	var r Report
	if headErr != nil {
		r.Findings = append(r.Findings, Finding{Place: InHead, What: headErr.Error(), Fix: "the next start writes it anew", Note: true})
	}
	s, err := r.openCopy(ctx, cfg, filepath.Join(scratch, "store"))
	if err != nil {
		return r, err
	}
	if s != nil {
		defer s.close()
	}
	all, err := gather(ctx, cfg.Catalogue, cfg.Dir, s)
	if err != nil {
		return r, wrap("verify", err)
	}
	r.judge(all, h, exists(filepath.Join(cfg.Dir, "clean")))
	r.papers(cfg.Dir, cfg.Catalogue)
	return r, nil
}

// openCopy opens a copy of the store; nil when it is missing or not to be opened,
// which is then a finding.
func (r *Report) openCopy(ctx context.Context, cfg Config, scratch string) (*store, error) {
	from := filepath.Join(cfg.Dir, "store")
	if !exists(from) {
		r.Findings = append(r.Findings, Finding{Place: InStore, What: "its folder is missing"})
		return nil, nil
	}
	if err := copyTree(from, scratch); err != nil {
		return nil, wrap("verify: copy the store to look at it", err)
	}
	quiet := cfg
	quiet.fill()
	s, err := openStore(ctx, quiet.storeConfig(scratch, "verify"))
	if errors.Is(err, errNoStream) {
		r.Findings = append(r.Findings, Finding{Place: InStore, What: err.Error()})
		return nil, nil
	}
	return s, wrap("verify", err)
}

// judge adds what the evidence shows.
func (r *Report) judge(all map[string]*evidence, h head, clean bool) {
	for _, name := range names(all, h) {
		e := all[name]
		if e == nil {
			e = &evidence{incident: name}
		}
		v := judge(e, h.Incidents[name], clean)
		l := LogReport{Incident: name, Entries: len(v.picks)}
		if n := len(v.picks); n > 0 {
			l.Last, l.Head = v.picks[n-1].seq, v.picks[n-1].hash
		}
		r.Logs = append(r.Logs, l)
		r.Findings = append(r.Findings, v.findings...)
		if n := len(v.behind); n > 0 {
			r.Findings = append(r.Findings, Finding{Incident: name, From: v.behind[0].seq, To: v.behind[n-1].seq, Place: InCopy, Note: true,
				What: "was being written when the machine stopped; the store has it", Fix: "the next start completes it"})
		}
		if n := len(e.torn); n > 0 {
			r.Findings = append(r.Findings, Finding{Incident: name, Place: InCopy, Note: true,
				What: fmt.Sprintf("the last line is half written (%d bytes)", n), Fix: "the next start sets it aside"})
		}
	}
}

// holdStill keeps other processes from opening the folder while it is looked at.
func holdStill(dir string) (release func(), err error) {
	f, err := os.Open(filepath.Join(dir, "lock"))
	if errors.Is(err, os.ErrNotExist) {
		return func() {}, nil
	}
	if err != nil {
		return nil, fmt.Errorf("journal: lock file: %w", err)
	}
	if err := lockFile(f); err != nil {
		holder := lockHolder(f)
		f.Close()
		return nil, fmt.Errorf("%w: %s: held by %s; stop that process to have its folder looked at", ErrLocked, dir, holder)
	}
	return func() { f.Close() }, nil
}

// Verify looks at both copies of every log of an open journal. Appends wait.
func (j *Journal) Verify(ctx context.Context) (Report, error) {
	if err := j.takeTurn(ctx); err != nil {
		return Report{}, err
	}
	defer j.giveTurn()
	if err := j.settle(ctx); err != nil {
		return Report{}, wrap("verify", err)
	}
	all, err := gather(ctx, j.cfg.Catalogue, j.cfg.Dir, j.store)
	if err != nil {
		return Report{}, wrap("verify", err)
	}
	var r Report
	r.judge(all, j.head, true)
	r.papers(j.cfg.Dir, j.cfg.Catalogue)
	return r, nil
}

// Damaged returns the incidents whose log has more than notes among its findings. A
// paper that is gone is no fault of the log.
func Damaged(fs []Finding) []string {
	var out []string
	for _, f := range fs {
		if !f.Note && f.Place != InFiles && f.Incident != "" && !slices.Contains(out, f.Incident) {
			out = append(out, f.Incident)
		}
	}
	return out
}
