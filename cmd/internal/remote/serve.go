package remote

import (
	"context"
	"crypto/rand"
	"crypto/subtle"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"os"
	"strconv"
	"time"

	"tankside/events"
	"tankside/events/journal"
)

// maxBody is the size of the longest request in bytes: a batch of a thousand entries
// of an ordinary import is below one MB.
const maxBody = 64 << 20

// Config is what a folder is served with.
type Config struct {
	Folder    Folder            // held by this process; required
	Catalogue *events.Catalogue // the kinds; required
	Now       func() time.Time  // the hour at the incidents: of a demonstration, that of the play; required
	Consoles  Consoles          // of the incidents that are shown; nil where none are
	Log       *slog.Logger      // program log; nil discards
}

// Server serves a data folder to other commands of the same user.
type Server struct {
	cfg  Config
	addr address
	http *http.Server
	done chan struct{}
	end  context.Context // of whatever has no end of its own, as a follower
	stop context.CancelFunc
}

// Serve takes a free port on loopback, serves the folder there and leaves its address
// in the folder. Close ends that.
func Serve(cfg Config) (*Server, error) {
	if cfg.Log == nil {
		cfg.Log = slog.New(slog.DiscardHandler)
	}
	if cfg.Consoles == nil {
		cfg.Consoles = none{}
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return nil, fmt.Errorf("remote: %w", err)
	}
	s := &Server{cfg: cfg, done: make(chan struct{})}
	s.addr = address{PID: os.Getpid(), Host: l.Addr().String(), Token: rand.Text()}
	s.end, s.stop = context.WithCancel(context.Background())
	s.http = &http.Server{
		Handler: s.guard(s.routes()), ReadHeaderTimeout: 5 * time.Second, ReadTimeout: time.Minute,
		IdleTimeout: time.Minute, MaxHeaderBytes: 8 << 10, ErrorLog: slog.NewLogLogger(cfg.Log.Handler(), slog.LevelWarn),
	}
	go func() {
		defer close(s.done)
		if err := s.http.Serve(l); !errors.Is(err, http.ErrServerClosed) {
			cfg.Log.Error("folder no longer served to other commands", "err", err)
		}
	}()
	if err := s.addr.write(cfg.Folder.Dir()); err != nil {
		return nil, errors.Join(fmt.Errorf("remote: address file: %w", err), s.Close())
	}
	return s, nil
}

// Close takes the address away, lets what is being saved end and closes the port.
func (s *Server) Close() error {
	err := os.Remove(fileName(s.cfg.Folder.Dir()))
	if errors.Is(err, os.ErrNotExist) {
		err = nil
	}
	s.stop()
	ctx, cancel := context.WithTimeout(context.Background(), 2*time.Second)
	defer cancel()
	if s.http.Shutdown(ctx) != nil {
		err = errors.Join(err, s.http.Close()) // what cannot be saved now is told as such
	}
	<-s.done
	return err
}

// guard lets through what shows the token and does not come from a browser.
func (s *Server) guard(next http.Handler) http.Handler {
	want := []byte("Bearer " + s.addr.Token)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		shown := []byte(r.Header.Get("Authorization"))
		switch {
		case r.Host != s.addr.Host:
			http.Error(w, "remote: wrong host", http.StatusMisdirectedRequest)
		case r.Header.Get("Origin") != "" || r.Header.Get("Sec-Fetch-Site") != "":
			http.Error(w, "remote: not for browsers", http.StatusForbidden)
		case subtle.ConstantTimeCompare(shown, want) != 1:
			http.Error(w, "remote: the token is not the folder's; read it anew", http.StatusUnauthorized)
		default:
			r.Body = http.MaxBytesReader(w, r.Body, maxBody)
			next.ServeHTTP(w, r)
		}
	})
}

// routes are what can be asked for.
func (s *Server) routes() http.Handler {
	mux := http.NewServeMux()
	for pattern, handle := range map[string]func(http.ResponseWriter, *http.Request) error{
		"GET /folder":                s.folder,
		"GET /log/{incident}":        s.read,
		"POST /log/{incident}":       s.append,
		"GET /verify":                s.verify,
		"GET /key":                   s.key,
		"POST /sign":                 s.sign,
		"POST /console":              s.show,
		"GET /console/{incident}":    s.mayShow,
		"DELETE /console/{incident}": s.hide,
	} {
		mux.HandleFunc(pattern, func(w http.ResponseWriter, r *http.Request) {
			if err := handle(w, r); err != nil {
				refuse(w, err)
			}
		})
	}
	return mux
}

// refuse answers with an error, so that the other side can make the same of it.
func refuse(w http.ResponseWriter, err error) {
	name, status := nameOf(err)
	w.Header().Set(refusedHeader, name)
	http.Error(w, err.Error(), status)
}

// about is what the folder is, for a client that has just come.
type about struct {
	Now       time.Time         `json:"now"`
	Incidents []string          `json:"incidents"`
	Findings  []journal.Finding `json:"findings"`
	Consoles  []Console         `json:"consoles"`
}

func (s *Server) folder(w http.ResponseWriter, _ *http.Request) error {
	f := s.cfg.Folder
	return json.NewEncoder(w).Encode(about{s.cfg.Now(), f.Incidents(), f.Findings(), s.cfg.Consoles.Consoles()})
}

func (s *Server) key(w http.ResponseWriter, _ *http.Request) error {
	key, err := s.cfg.Folder.PublicKey()
	if err != nil {
		return err
	}
	return json.NewEncoder(w).Encode([]byte(key))
}

// read streams the entries from one on, and with follow those still to come.
func (s *Server) read(w http.ResponseWriter, r *http.Request) error {
	l, err := s.cfg.Folder.Log(r.PathValue("incident"))
	if err != nil {
		return fmt.Errorf("%w: %w", events.ErrInvalid, err)
	}
	from, err := strconv.ParseUint(r.FormValue("from"), 10, 64)
	if err != nil {
		return fmt.Errorf("%w: from: %w", events.ErrInvalid, err)
	}
	if r.FormValue("follow") == "" {
		return s.stream(w, l.Read(r.Context(), events.Seq(from)), false)
	}
	ctx, cancel := context.WithCancel(r.Context())
	defer cancel()
	defer context.AfterFunc(s.end, cancel)()
	if err := s.stream(w, l.Follow(ctx, events.Seq(from)), true); err != nil || s.end.Err() == nil {
		return err
	}
	w.Header().Set(http.TrailerPrefix+refusedHeader, "closed")
	return nil
}

// stream writes entries as they come. What goes wrong on the way is in the trailer,
// as the header has gone out by then.
func (s *Server) stream(w http.ResponseWriter, entries func(func(events.Recorded, error) bool), flush bool) error {
	rc := http.NewResponseController(w)
	if flush {
		_ = rc.Flush() // the headers: a log that has nothing yet is followed all the same
	}
	for r, err := range entries {
		if err != nil {
			name, _ := nameOf(err)
			w.Header().Set(http.TrailerPrefix+refusedHeader, name)
			w.Header().Set(http.TrailerPrefix+textTrailer, strconv.QuoteToASCII(err.Error()))
			return nil
		}
		if writeEntry(w, s.cfg.Catalogue, r) != nil {
			return nil // the reader has gone
		}
		if flush {
			_ = rc.Flush()
		}
	}
	return nil
}

// textTrailer carries the words of what went wrong on the way, quoted.
const textTrailer = "Tankside-Why"

// append saves the drafts of the request, all or none. It goes on trying for as long
// as the sender waits.
func (s *Server) append(w http.ResponseWriter, r *http.Request) error {
	ds, err := readDrafts(r.Body, s.cfg.Catalogue)
	if tooLong := (*http.MaxBytesError)(nil); errors.As(err, &tooLong) {
		return fmt.Errorf("%w: more than %d MB at once; send it in parts", events.ErrInvalid, maxBody>>20)
	}
	if err != nil {
		return err
	}
	l, err := s.cfg.Folder.Log(r.PathValue("incident"))
	if err != nil {
		return fmt.Errorf("%w: %w", events.ErrInvalid, err)
	}
	saved, err := s.save(r, l, ds)
	if err != nil {
		return err
	}
	for _, e := range saved {
		if writeEntry(w, s.cfg.Catalogue, e) != nil {
			return nil // the sender has gone and will ask again with the same ids
		}
	}
	return nil
}

// save saves drafts; with after, the one draft behind that entry or not at all.
func (s *Server) save(r *http.Request, l events.Log, ds []events.Draft) ([]events.Recorded, error) {
	after := r.URL.Query().Get("after")
	if after == "" {
		return l.AppendAll(r.Context(), ds)
	}
	last, err := strconv.ParseUint(after, 10, 64)
	if err != nil || len(ds) != 1 {
		return nil, fmt.Errorf("%w: %d entries after %q", events.ErrInvalid, len(ds), after)
	}
	e, err := l.AppendAfter(r.Context(), events.Seq(last), ds[0])
	return []events.Recorded{e}, err
}

// sign signs what it is sent. Whoever may ask may read the key itself.
func (s *Server) sign(w http.ResponseWriter, r *http.Request) error {
	message, err := io.ReadAll(r.Body)
	if err != nil {
		return fmt.Errorf("%w: %w", events.ErrInvalid, err)
	}
	sig, err := s.cfg.Folder.Sign(message)
	if err != nil {
		return err
	}
	return json.NewEncoder(w).Encode(sig)
}

func (s *Server) verify(w http.ResponseWriter, r *http.Request) error {
	report, err := s.cfg.Folder.Verify(r.Context())
	if err != nil {
		return err
	}
	return json.NewEncoder(w).Encode(report)
}
