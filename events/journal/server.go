package journal

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/nats-io/nats-server/v2/server"
	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"
	"github.com/synadia-io/orbit.go/jetstreamext"
)

const (
	streamName  = "EV"     // the one stream of a node
	maxBatch    = 1000     // entries in one atomic batch; the server takes no more
	maxMemory   = 64 << 20 // bytes; no stream of ours lives in memory
	maxStore    = 1 << 40  // bytes; the disk is the limit, not a share of what is free at start
	maxEntry    = 4 << 20  // bytes of the longest entry
	maxHeaders  = 64 << 10 // bytes of a message besides its entry
	slowest     = 1 << 20  // bytes a second that the slowest disk takes, for time-outs
	dedupe      = 24 * time.Hour
	startWithin = 30 * time.Second
	stopWithin  = 10 * time.Second
)

// message is one entry on its way into the store or out of it.
type message struct {
	subject string
	id      string // names the entry to the server's own check for doubles
	raw     []byte
	at      uint64 // place in the stream; 0 until stored
}

// store is the embedded server with its one stream. The journal is its only
// writer and calls it from one goroutine at a time.
type store struct {
	srv    *server.Server
	conn   *nats.Conn
	js     jetstream.JetStream
	stream jetstream.Stream
	last   uint64 // place of the last message known to be stored

	timeout time.Duration // for one answer
	blocks  string        // the folder of the block files
	named   time.Time     // when a name in it changed that is known to be durable

	// broken ends at the server's first write error, with that error as its cause.
	// The server tells it only to its log, answers nobody from then on, and does
	// not recover by itself.
	broken context.Context
	fault  context.CancelCauseFunc
}

// storeConfig is what a store is started with.
type storeConfig struct {
	dir     string
	node    string
	timeout time.Duration
	log     *slog.Logger
}

// errNoStream says that the folder holds the data of a stream which the server
// does not list: its description is gone or damaged.
var errNoStream = errors.New("the store has entries but its description (meta.inf) is missing or damaged")

// openStore starts the server on a folder and opens the stream, which it makes
// when the folder is new.
func openStore(ctx context.Context, cfg storeConfig) (*store, error) {
	if err := makeDir(cfg.dir); err != nil {
		return nil, fmt.Errorf("store folder: %w", err)
	}
	srv, err := server.NewServer(options(cfg))
	if err != nil {
		return nil, fmt.Errorf("start the store: %w", err)
	}
	s := &store{srv: srv, timeout: cfg.timeout, blocks: filepath.Join(streamDir(cfg.dir), "msgs")}
	s.broken, s.fault = context.WithCancelCause(context.Background())
	srv.SetLogger(&serverLog{cfg.log, s.fault}, false, false)
	hadStream := exists(streamDir(cfg.dir))
	srv.Start()
	if !srv.ReadyForConnections(startWithin) || !srv.JetStreamEnabled() {
		s.close()
		return nil, fmt.Errorf("start the store in %s: not ready after %v", cfg.dir, startWithin)
	}
	err = s.connect(ctx, cfg, hadStream)
	if err == nil && !hadStream {
		err = syncTree(cfg.dir) // the server flushes its files, but not all of their names
	}
	if err != nil {
		s.close()
		return nil, err
	}
	return s, nil
}

// options are the settings of the embedded server. It listens nowhere and leaves
// the signals alone.
func options(cfg storeConfig) *server.Options {
	return &server.Options{
		ServerName:             "tankside-" + cfg.node,
		DontListen:             true,
		NoSigs:                 true,
		JetStream:              true,
		DisableJetStreamBanner: true,
		JetStreamDomain:        cfg.node,
		StoreDir:               cfg.dir,
		SyncAlways:             true,
		JetStreamMaxMemory:     maxMemory,
		JetStreamMaxStore:      maxStore,
		MaxPayload:             maxEntry + maxHeaders,
	}
}

// connect opens the connection inside the process and the stream.
func (s *store) connect(ctx context.Context, cfg storeConfig, hadStream bool) error {
	var err error
	if s.conn, err = nats.Connect("", nats.InProcessServer(s.srv), nats.NoReconnect()); err != nil {
		return fmt.Errorf("connect to the store: %w", err)
	}
	if s.js, err = jetstream.New(s.conn, jetstream.WithDefaultTimeout(cfg.timeout)); err != nil {
		return fmt.Errorf("connect to the store: %w", err)
	}
	s.stream, err = s.js.Stream(ctx, streamName)
	if errors.Is(err, jetstream.ErrStreamNotFound) {
		if hadStream {
			return errNoStream
		}
		s.stream, err = s.js.CreateStream(ctx, streamConfig())
	}
	if err != nil {
		return fmt.Errorf("open the store's stream: %w", err)
	}
	info, err := s.stream.Info(ctx)
	if err != nil {
		return fmt.Errorf("open the store's stream: %w", err)
	}
	s.last = info.State.LastSeq
	return nil
}

// streamConfig describes the stream: no limits, nothing ever deleted.
func streamConfig() jetstream.StreamConfig {
	return jetstream.StreamConfig{
		Name:               streamName,
		Subjects:           []string{"ev.*.*.*"},
		Storage:            jetstream.FileStorage,
		Retention:          jetstream.LimitsPolicy,
		Discard:            jetstream.DiscardNew,
		Duplicates:         dedupe,
		DenyDelete:         true,
		DenyPurge:          true,
		AllowDirect:        true,
		AllowAtomicPublish: true,
	}
}

// put stores messages, all of them or none, and returns when they are on disk. An
// error leaves it unknown whether they are: look before putting again.
func (s *store) put(ctx context.Context, ms []message) error {
	ctx, cancel := context.WithTimeout(ctx, s.patience(ms))
	defer cancel()
	defer context.AfterFunc(s.broken, cancel)() // after a write error no answer comes
	last, err := s.publish(ctx, ms)
	if fault := context.Cause(s.broken); fault != nil {
		return fmt.Errorf("the store cannot write: %w", fault)
	}
	if err != nil {
		return fmt.Errorf("the store did not confirm: %w", err)
	}
	if want := s.last + uint64(len(ms)); last != want {
		return fmt.Errorf("the store confirmed place %d, want %d", last, want)
	}
	s.last = last
	return s.keepNames()
}

// patience is how long to wait for messages to be stored.
func (s *store) patience(ms []message) time.Duration {
	size := 0
	for _, m := range ms {
		size += len(m.raw)
	}
	return s.timeout + time.Duration(size)*time.Second/slowest
}

// keepNames makes the name of a new block file durable. The server flushes the file
// when it makes it, but not its folder.
func (s *store) keepNames() error {
	info, err := os.Stat(s.blocks)
	if err != nil || info.ModTime().Equal(s.named) {
		return err
	}
	s.named = info.ModTime()
	return syncDir(s.blocks)
}

// streamDir is where the server keeps the stream.
func streamDir(dir string) string {
	return filepath.Join(dir, "jetstream", "$G", "streams", streamName)
}

// publish sends one message, or several as one atomic batch, and returns the place
// of the last.
func (s *store) publish(ctx context.Context, ms []message) (uint64, error) {
	batch := make([]*nats.Msg, len(ms))
	for i, m := range ms {
		batch[i] = &nats.Msg{Subject: m.subject, Data: m.raw, Header: nats.Header{
			jetstream.MsgIDHeader: {m.id},
		}}
	}
	batch[0].Header.Set(jetstream.ExpectedLastSeqHeader, fmt.Sprint(s.last))
	if len(batch) == 1 {
		ack, err := s.js.PublishMsg(ctx, batch[0])
		if err != nil {
			return 0, err
		}
		return ack.Sequence, nil
	}
	ack, err := jetstreamext.PublishMsgBatch(ctx, s.js, batch)
	if err != nil {
		return 0, err
	}
	return ack.Sequence, nil
}

// each calls visit with every readable message from place from on, in order.
// Messages the server has lost or cannot read are passed over.
func (s *store) each(ctx context.Context, from uint64, visit func(message)) error {
	info, err := s.stream.Info(ctx)
	if err != nil {
		return fmt.Errorf("read the store: %w", err)
	}
	for at := max(from, info.State.FirstSeq, 1); at <= info.State.LastSeq; {
		next, err := s.some(ctx, at, visit)
		if err != nil {
			return fmt.Errorf("read the store at %d: %w", at, err)
		}
		at = next
	}
	return nil
}

// some visits a run of messages from place at on and returns the place to go on
// from, which is always beyond at.
func (s *store) some(ctx context.Context, at uint64, visit func(message)) (uint64, error) {
	next := at
	run, err := jetstreamext.GetBatch(ctx, s.js, streamName, maxBatch, jetstreamext.GetBatchSeq(at))
	if err != nil {
		return 0, err
	}
	for m, err := range run {
		if err != nil {
			break // the run ends at a message that cannot be read; it is looked at alone
		}
		visit(message{subject: m.Subject, id: m.Header.Get(jetstream.MsgIDHeader), raw: m.Data, at: m.Sequence})
		next = m.Sequence + 1
	}
	if next > at {
		return next, nil
	}
	return at + 1, s.one(ctx, at, visit)
}

// one visits the message at one place, if it can be read.
func (s *store) one(ctx context.Context, at uint64, visit func(message)) error {
	m, err := s.stream.GetMsg(ctx, at)
	if err != nil {
		return ctx.Err() // lost or unreadable; whoever asked sees that it is missing
	}
	visit(message{subject: m.Subject, id: m.Header.Get(jetstream.MsgIDHeader), raw: m.Data, at: m.Sequence})
	return nil
}

// close stops the server. A server that does not end within stopWithin is left to
// itself: its folder is never opened twice by one process while it still writes.
func (s *store) close() error {
	if s.conn != nil {
		s.conn.Close()
	}
	s.srv.Shutdown()
	s.fault(nil)
	done := make(chan struct{})
	go func() { s.srv.WaitForShutdown(); close(done) }()
	select {
	case <-done:
		return nil
	case <-time.After(stopWithin):
		return fmt.Errorf("stop the store: still running after %v", stopWithin)
	}
}

// serverLog hands the server's messages to slog and notices its write errors.
type serverLog struct {
	to    *slog.Logger
	fault context.CancelCauseFunc
}

// Noticef logs a notice; at the server's own level it is only of use to us.
func (l *serverLog) Noticef(f string, v ...any) { l.to.Debug(fmt.Sprintf(f, v...), "from", "store") }

// Warnf logs a warning.
func (l *serverLog) Warnf(f string, v ...any) { l.to.Warn(fmt.Sprintf(f, v...), "from", "store") }

// Fatalf logs an error; it does not end the process.
func (l *serverLog) Fatalf(f string, v ...any) { l.Errorf(f, v...) }

// Errorf logs an error and notices a failed write.
func (l *serverLog) Errorf(f string, v ...any) {
	text := fmt.Sprintf(f, v...)
	if strings.Contains(strings.ToLower(text), "critical write error") {
		l.fault(errors.New(text))
	}
	l.to.Error(text, "from", "store")
}

// Debugf is not asked for.
func (l *serverLog) Debugf(string, ...any) {}

// Tracef is not asked for.
func (l *serverLog) Tracef(string, ...any) {}
