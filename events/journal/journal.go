package journal

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"github.com/nats-io/nats.go"

	"tankside/events"
)

// Config says where a journal lives and what it is given from outside.
type Config struct {
	Dir        string            // the data folder, made if new; on a local disk, never a synchronised folder
	Node       string            // name of this machine; "" takes the folder's own, or a new one
	Now        func() time.Time  // the clock; required
	Catalogue  *events.Catalogue // the kinds; required
	Log        *slog.Logger      // program log; nil discards
	OnTrouble  func(Trouble)     // told when an entry cannot be saved, and when it was saved after all
	RetryEvery time.Duration     // between tries of a failed save; 0 means 1 s
	Timeout    time.Duration     // for one answer of the store; 0 means 5 s
}

// Journal is the logs of one machine. All methods may be called from many
// goroutines.
type Journal struct {
	cfg  Config
	node string
	lock *lock
	turn chan struct{} // holds one token: whoever has it may write

	// With the turn only.
	store   *store // nil while it could not be restarted
	stored  uint64 // place of the last message known to be stored, while store is nil
	unsure  bool   // an answer of the store is missing: look before writing on
	head    head
	unsaid  int  // entries saved since the head was written
	lowTold bool // lack of space was told

	mu       sync.RWMutex
	chains   map[string]*chain
	findings []Finding
	retired  []*copyFile // second copies that a repair replaced
	shut     bool

	closed chan struct{}
	conn   atomic.Pointer[nats.Conn] // for Post; nil while the store is down
}

// Open takes the data folder for this process, looks at both copies of every log
// and starts the store. It does not fail on a damaged log: what it found is in
// Findings, and the other logs work. After an unclean stop the store's folder is
// copied before the server may touch it.
func Open(ctx context.Context, cfg Config) (*Journal, error) {
	j, err := newJournal(cfg)
	if err != nil {
		return nil, err
	}
	if err := j.start(ctx); err != nil {
		return nil, errors.Join(err, j.abandon())
	}
	return j, nil
}

// newJournal takes the folder.
func newJournal(cfg Config) (*Journal, error) {
	if cfg.Dir == "" || cfg.Now == nil || cfg.Catalogue == nil {
		return nil, errors.New("journal: Dir, Now and Catalogue have to be given")
	}
	cfg.fill()
	if err := errors.Join(makeDir(cfg.Dir), makeDir(filepath.Join(cfg.Dir, "copy"))); err != nil {
		return nil, fmt.Errorf("journal: data folder: %w", err)
	}
	l, err := takeLock(cfg.Dir)
	if err != nil {
		return nil, err
	}
	j := &Journal{cfg: cfg, lock: l, turn: make(chan struct{}, 1), chains: map[string]*chain{}, closed: make(chan struct{})}
	j.turn <- struct{}{}
	return j, nil
}

// start brings the logs up from the folder.
func (j *Journal) start(ctx context.Context) error {
	var err error
	if j.node, err = nodeID(j.cfg.Dir, j.cfg.Node); err != nil {
		return fmt.Errorf("journal: %w", err)
	}
	if err := j.finishSwap(); err != nil {
		return fmt.Errorf("journal: finish the last repair: %w", err)
	}
	clean, err := j.takeMarker()
	if err != nil {
		return fmt.Errorf("journal: clean-stop marker: %w", err)
	}
	if j.head, err = readHead(j.cfg.Dir); err != nil {
		j.note(Finding{Place: InHead, What: err.Error(), Fix: "the logs are judged without it; it is written anew", Note: true})
	}
	j.watchSpace()
	if !clean {
		j.copyAside()
	}
	if err := j.openStore(ctx); err != nil {
		return fmt.Errorf("journal: %w", err)
	}
	all, err := gather(ctx, j.cfg.Catalogue, j.cfg.Dir, j.store)
	if err != nil {
		return fmt.Errorf("journal: %w", err)
	}
	for _, name := range names(all, j.head) {
		if err := j.load(name, all[name], clean); err != nil {
			return fmt.Errorf("journal: %s: %w", name, err)
		}
	}
	if err := j.serve(j.store); err != nil {
		return fmt.Errorf("journal: %w", err)
	}
	if err := j.completeCopies(); err != nil {
		j.note(Finding{Place: InCopy, What: err.Error(), Fix: "it is completed with the next entry", Note: true})
	}
	return nil
}

// load judges one incident and takes its log into memory.
func (j *Journal) load(name string, e *evidence, clean bool) error {
	if e == nil {
		e = &evidence{incident: name}
	}
	v := judge(e, j.head.Incidents[name], clean)
	c, err := j.newChain(e, &v)
	if err != nil {
		return err
	}
	j.chains[name] = c
	j.note(v.findings...)
	if n := len(v.behind); n > 0 {
		from, to := v.behind[0].seq, v.behind[n-1].seq
		j.note(Finding{Incident: name, From: from, To: to, Place: InCopy, Note: true,
			What: "was being written when the machine stopped", Fix: "completed from the store"})
	}
	if len(e.torn) > 0 {
		side := j.aside(name + "-torn.txt")
		c.copy.setAside(e.torn, side)
		j.note(Finding{Incident: name, Place: InCopy, Note: true,
			What: fmt.Sprintf("the last line was half written (%d bytes)", len(e.torn)), Fix: "it is set aside in " + side})
	}
	return nil
}

// openStore starts the server. When it does not know its own stream any more the
// folder is moved aside, whole, and a new one takes its place: the second copies
// have the entries, and a scribe can go on.
func (j *Journal) openStore(ctx context.Context) error {
	dir := j.storeDir()
	var err error
	j.store, err = openStore(ctx, j.cfg.storeConfig(dir, j.node))
	if !errors.Is(err, errNoStream) {
		return err
	}
	to := j.aside("store-unreadable")
	if err := errors.Join(makeDir(filepath.Dir(to)), os.Rename(dir, to), syncDir(j.cfg.Dir)); err != nil {
		return fmt.Errorf("%w; moving it aside failed: %w", errNoStream, err)
	}
	j.note(Finding{Place: InStore, What: err.Error(), Fix: "its folder was moved to " + to + "; the second copies have the entries"})
	j.store, err = openStore(ctx, j.cfg.storeConfig(dir, j.node))
	return err
}

// storeDir is the server's folder.
func (j *Journal) storeDir() string { return filepath.Join(j.cfg.Dir, "store") }

// storeConfig is what a store in dir is started with.
func (c *Config) storeConfig(dir, node string) storeConfig {
	return storeConfig{dir: dir, node: node, timeout: c.Timeout, log: c.Log}
}

// fill puts the defaults in.
func (c *Config) fill() {
	if c.Log == nil {
		c.Log = slog.New(slog.DiscardHandler)
	}
	if c.RetryEvery == 0 {
		c.RetryEvery = time.Second
	}
	if c.Timeout == 0 {
		c.Timeout = 5 * time.Second
	}
}

// note keeps findings.
func (j *Journal) note(fs ...Finding) {
	j.mu.Lock()
	defer j.mu.Unlock()
	j.findings = append(j.findings, fs...)
}

// Findings is what differed when the folder was opened or was noticed since.
func (j *Journal) Findings() []Finding {
	j.mu.RLock()
	defer j.mu.RUnlock()
	return slices.Clone(j.findings)
}

// Dir is the data folder.
func (j *Journal) Dir() string { return j.cfg.Dir }

// Node is the name of this machine in the entries it makes.
func (j *Journal) Node() string { return j.node }

// Incidents returns the identifiers of the incidents that have entries, in order.
func (j *Journal) Incidents() []string {
	j.mu.RLock()
	defer j.mu.RUnlock()
	var out []string
	for _, name := range slices.Sorted(maps.Keys(j.chains)) {
		if len(j.chains[name].at) > 0 {
			out = append(out, name)
		}
	}
	return out
}

// Log returns the log of an incident by its name or identifier. A new incident's
// log is empty until its first entry.
func (j *Journal) Log(incident string) (events.Log, error) {
	id := events.IncidentID(incident)
	if id == "" {
		return nil, fmt.Errorf("journal: incident %q has no letter or digit to name it by", incident)
	}
	j.mu.Lock()
	defer j.mu.Unlock()
	c := j.chains[id]
	if c == nil {
		c = &chain{incident: id, node: j.node, copy: &copyFile{name: copyName(j.cfg.Dir, id)},
			ids: map[events.ID]int{}, grown: make(chan struct{})}
		j.chains[id] = c
	}
	return &incidentLog{j, c}, nil
}

// chainOf is the chain of an incident, nil when there is none.
func (j *Journal) chainOf(id string) *chain {
	j.mu.RLock()
	defer j.mu.RUnlock()
	return j.chains[id]
}

// Close stops the store and marks the stop as clean. Entries that are not saved by
// then are reported as such to whoever is saving them.
func (j *Journal) Close() error {
	if !j.shutting() {
		return nil
	}
	<-j.turn // never given back: nobody writes from here on
	err := j.completeCopies()
	if err == nil && !j.unsure {
		err = j.writeHead()
	}
	clean := err == nil && !j.unsure && j.store != nil
	if j.store != nil {
		err = errors.Join(err, j.store.close())
	}
	err = errors.Join(err, j.closeCopies())
	if clean && err == nil {
		err = writeDurably(filepath.Join(j.cfg.Dir, "clean"), nil, 0o600)
	}
	return wrap("close", errors.Join(err, j.lock.release()))
}

// shutting marks the journal closed; false when it was before.
func (j *Journal) shutting() bool {
	j.mu.Lock()
	defer j.mu.Unlock()
	if j.shut {
		return false
	}
	j.shut = true
	close(j.closed)
	return true
}

// abandon lets go of everything after a failed start, without a clean mark.
func (j *Journal) abandon() error {
	var err error
	if j.store != nil {
		err = j.store.close()
	}
	return errors.Join(err, j.closeCopies(), j.lock.release())
}

// closeCopies closes every second copy.
func (j *Journal) closeCopies() error {
	j.mu.Lock()
	defer j.mu.Unlock()
	var err error
	for _, c := range j.chains {
		err = errors.Join(err, c.copy.close())
	}
	for _, f := range j.retired {
		err = errors.Join(err, f.close())
	}
	return err
}

// wrap names the package and the thing being done; nil stays nil.
func wrap(doing string, err error) error {
	if err == nil {
		return nil
	}
	return fmt.Errorf("journal: %s: %w", doing, err)
}
