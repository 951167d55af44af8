package journal

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"sync"

	"tankside/events"
)

// copyFile is the second copy of one incident: the stored bytes of each entry and
// a newline, in the order of the chain. Any text editor reads it.
//
// size is the length up to which everything is known to be whole and on disk. A
// write that fails half way is cut back to it before the next try.
type copyFile struct {
	name string

	mu   sync.RWMutex // a retry reopens f while readers read
	f    *os.File     // nil until first used
	size int64
	torn []byte // half a line behind size, to be kept under side before it is cut off
	side string
	shut bool
}

// span is where the bytes of an entry lie in the second copy, newline not counted.
type span struct {
	off  int64
	size int
}

// copyName is the second copy of an incident under the data folder dir.
func copyName(dir, incident string) string {
	return filepath.Join(dir, "copy", incident+".jsonl")
}

// append writes raws as lines behind the last whole one and returns when they are
// on disk. After an error nothing is known to be there and the same may be tried
// again.
func (c *copyFile) append(raws [][]byte) ([]span, error) {
	f, err := c.open()
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	spans := make([]span, len(raws))
	for i, raw := range raws {
		spans[i] = span{c.size + int64(b.Len()), len(raw)}
		b.Write(raw)
		b.WriteByte('\n')
	}
	if _, err := f.Write(b.Bytes()); err != nil {
		return nil, c.undo(err)
	}
	if err := f.Sync(); err != nil {
		return nil, c.undo(err)
	}
	c.mu.Lock()
	c.size += int64(b.Len())
	c.mu.Unlock()
	return spans, nil
}

// undo takes back a failed write. The file is closed, because after a failed flush
// the pages in memory are no longer to be believed; open cuts it to size.
func (c *copyFile) undo(err error) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.f.Close()
	c.f = nil
	return err
}

// open returns the file, made and cut to the known length when that is needed.
func (c *copyFile) open() (*os.File, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.shut {
		return nil, events.ErrClosed
	}
	if c.f != nil {
		return c.f, nil
	}
	if err := c.keepTorn(); err != nil {
		return nil, err
	}
	fresh := !exists(c.name)
	f, err := os.OpenFile(c.name, os.O_RDWR|os.O_CREATE|os.O_APPEND, 0o600)
	if err != nil {
		return nil, err
	}
	if fresh {
		err = syncDir(filepath.Dir(c.name))
	}
	if err == nil {
		err = cutTo(f, c.size)
	}
	if err != nil {
		f.Close()
		return nil, err
	}
	c.f = f
	return f, nil
}

// setAside has torn, half a line behind the whole ones, kept in the file side.
func (c *copyFile) setAside(torn []byte, side string) { c.torn, c.side = torn, side }

// keepTorn writes the half line into its own file.
func (c *copyFile) keepTorn() error {
	if len(c.torn) == 0 {
		return nil
	}
	err := makeDir(filepath.Dir(c.side))
	if err == nil {
		err = writeDurably(c.side, c.torn, 0o600)
	}
	if err == nil {
		c.torn = nil
	}
	return err
}

// end is the length of what is known to be whole.
func (c *copyFile) end() int64 {
	c.mu.RLock()
	defer c.mu.RUnlock()
	return c.size
}

// cutTo shortens f to size if it is longer. A file that is shorter was cut by
// somebody else while it was open.
func cutTo(f *os.File, size int64) error {
	info, err := f.Stat()
	switch {
	case err != nil:
		return err
	case info.Size() < size:
		return fmt.Errorf("%s was cut from %d to %d bytes by another program; stop and run tankside verify", f.Name(), size, info.Size())
	case info.Size() == size:
		return nil
	}
	return errors.Join(f.Truncate(size), f.Sync())
}

// readAt fills buf from offset off.
func (c *copyFile) readAt(buf []byte, off int64) error {
	if _, err := c.open(); err != nil {
		return err
	}
	c.mu.RLock()
	defer c.mu.RUnlock()
	if c.f == nil {
		return fmt.Errorf("%s is being reopened after a failed write; read again", c.name)
	}
	_, err := c.f.ReadAt(buf, off)
	return err
}

// close closes the file for good.
func (c *copyFile) close() error {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.shut = true
	if c.f == nil {
		return nil
	}
	err := c.f.Close()
	c.f = nil
	return err
}

// lines calls visit with every line of the second copy called name and returns the
// length of the whole lines and what stands behind them: a line that was being
// written when the machine stopped. A copy that is not there has no lines.
func lines(name string, visit func(at span, raw []byte)) (whole int64, torn []byte, err error) {
	f, err := os.Open(name)
	if errors.Is(err, os.ErrNotExist) {
		return 0, nil, nil
	}
	if err != nil {
		return 0, nil, err
	}
	defer f.Close()
	r := bufio.NewReaderSize(f, 1<<16)
	for {
		line, err := r.ReadBytes('\n')
		if errors.Is(err, io.EOF) {
			return whole, line, nil
		}
		if err != nil {
			return whole, nil, err
		}
		raw := line[:len(line)-1]
		visit(span{whole, len(raw)}, raw)
		whole += int64(len(line))
	}
}
