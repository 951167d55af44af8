package journal

import (
	"context"
	"errors"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"sync"
	"syscall"
	"testing"

	"github.com/hanwen/go-fuse/v2/fs"
	"github.com/hanwen/go-fuse/v2/fuse"
)

// disk is a file system that forgets, when the power is cut, whatever was not
// flushed: file contents without fsync, and names in a folder without fsync of that
// folder. It lives in memory and is mounted through FUSE, so that real programs with
// real system calls work on it.
type disk struct {
	mu   sync.Mutex // held over every change and over a cut
	kind diskKind
	root *node
	rnd  *rand.Rand
}

// diskKind is how a disk behaves at a cut.
type diskKind struct {
	name    string
	journal bool // any fsync also makes every change of names before it durable, as on a journaling file system
	torn    bool // what was not flushed may be there in part, in any order
	lies    bool // fsync does nothing: the control that has to lose entries
}

// node is a file or a folder, as programs see it and as a cut leaves it.
type node struct {
	fs.Inode
	d *disk

	data    []byte
	flushed []byte
	pending []write // writes since the last flush

	changes uint64           // of a folder's names
	durable map[string]*node // a folder's names that a cut leaves; nil for a file
}

// handle is the flags a file was opened with.
type handle uint32

// write is one change of a file's content that was not flushed: data at off, or a
// new length when data is nil.
type write struct {
	off  int64
	data []byte
}

var (
	_ fs.NodeCreater   = (*node)(nil)
	_ fs.NodeMkdirer   = (*node)(nil)
	_ fs.NodeUnlinker  = (*node)(nil)
	_ fs.NodeRmdirer   = (*node)(nil)
	_ fs.NodeRenamer   = (*node)(nil)
	_ fs.NodeOpener    = (*node)(nil)
	_ fs.NodeReader    = (*node)(nil)
	_ fs.NodeWriter    = (*node)(nil)
	_ fs.NodeFsyncer   = (*node)(nil)
	_ fs.NodeFlusher   = (*node)(nil)
	_ fs.NodeGetattrer = (*node)(nil)
	_ fs.NodeSetattrer = (*node)(nil)
	_ fs.NodeStatfser  = (*node)(nil)
)

// mountDisk mounts a new disk, or skips the test and says why.
func mountDisk(t *testing.T, kind diskKind, rnd *rand.Rand) (d *disk, dir string) {
	t.Helper()
	if os.Geteuid() != 0 {
		t.Skip("the power-cut test mounts a file system: it needs root")
	}
	if _, err := os.Stat("/dev/fuse"); err != nil {
		t.Skipf("the power-cut test mounts a file system: it needs FUSE: %v", err)
	}
	d = &disk{kind: kind, rnd: rnd}
	d.root = &node{d: d, durable: map[string]*node{}}
	dir = t.TempDir()
	srv, err := fs.Mount(dir, d.root, &fs.Options{MountOptions: fuse.MountOptions{DirectMountStrict: true, FsName: "powercut"}})
	if errors.Is(err, syscall.EPERM) {
		t.Skipf("the power-cut test mounts a file system: %v", err)
	}
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := srv.Unmount(); err != nil {
			t.Errorf("unmount: %v", err)
		}
	})
	return d, dir
}

// cut writes what a power cut at this moment would leave into the real folder to.
func (d *disk) cut(to string) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.root.leave(to)
}

// leave writes a folder as the cut leaves it.
func (n *node) leave(to string) error {
	if err := os.MkdirAll(to, 0o700); err != nil {
		return err
	}
	for name, child := range n.durable {
		at := filepath.Join(to, name)
		var err error
		if child.durable != nil {
			err = child.leave(at)
		} else {
			err = os.WriteFile(at, child.left(), 0o600)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// left is a file's content after a cut: what was flushed, and on a torn disk any
// part of what was not.
func (n *node) left() []byte {
	out := append([]byte(nil), n.flushed...)
	if !n.d.kind.torn {
		return out
	}
	for _, w := range n.pending {
		if n.d.rnd.IntN(2) == 0 {
			continue
		}
		if w.data != nil {
			w.data = w.data[:n.d.rnd.IntN(len(w.data)+1)]
		}
		out = w.onto(out)
	}
	return out
}

// onto returns b changed by w.
func (w write) onto(b []byte) []byte {
	end := w.off + int64(len(w.data))
	if w.data == nil && end < int64(len(b)) {
		return b[:end]
	}
	if grow := end - int64(len(b)); grow > 0 {
		b = append(b, make([]byte, grow)...)
	}
	copy(b[w.off:], w.data)
	return b
}

// change applies a write to what programs see.
func (n *node) change(w write) {
	n.data = w.onto(n.data)
	n.pending = append(n.pending, w)
}

// touch notes that a folder's names change.
func (n *node) touch() {
	n.d.mu.Lock()
	defer n.d.mu.Unlock()
	n.changes++
}

// Create makes a file.
func (n *node) Create(ctx context.Context, name string, flags, mode uint32, out *fuse.EntryOut) (*fs.Inode, fs.FileHandle, uint32, syscall.Errno) {
	n.touch()
	out.Mode = fuse.S_IFREG | 0o600
	return n.NewPersistentInode(ctx, &node{d: n.d}, fs.StableAttr{Mode: fuse.S_IFREG}), handle(flags), fuse.FOPEN_DIRECT_IO, 0
}

// Mkdir makes a folder.
func (n *node) Mkdir(ctx context.Context, name string, mode uint32, out *fuse.EntryOut) (*fs.Inode, syscall.Errno) {
	n.touch()
	out.Mode = fuse.S_IFDIR | 0o700
	return n.NewPersistentInode(ctx, &node{d: n.d, durable: map[string]*node{}}, fs.StableAttr{Mode: fuse.S_IFDIR}), 0
}

// Unlink takes a name away; a cut brings it back until the folder is flushed.
func (n *node) Unlink(context.Context, string) syscall.Errno {
	n.touch()
	return 0
}

// Rmdir takes an empty folder away.
func (n *node) Rmdir(_ context.Context, name string) syscall.Errno {
	if len(n.GetChild(name).Children()) > 0 {
		return syscall.ENOTEMPTY
	}
	return 0
}

// Rename moves a name; a cut undoes it until the folders are flushed.
func (n *node) Rename(_ context.Context, _ string, to fs.InodeEmbedder, _ string, _ uint32) syscall.Errno {
	n.touch()
	to.(*node).touch()
	return 0
}

// Open opens a file, without the kernel's cache.
func (n *node) Open(_ context.Context, flags uint32) (fs.FileHandle, uint32, syscall.Errno) {
	if flags&syscall.O_TRUNC != 0 {
		n.d.mu.Lock()
		defer n.d.mu.Unlock()
		n.change(write{})
	}
	return handle(flags), fuse.FOPEN_DIRECT_IO, 0
}

// Read reads what programs wrote, flushed or not.
func (n *node) Read(_ context.Context, _ fs.FileHandle, dest []byte, off int64) (fuse.ReadResult, syscall.Errno) {
	n.d.mu.Lock()
	defer n.d.mu.Unlock()
	if off >= int64(len(n.data)) {
		return fuse.ReadResultData(nil), 0
	}
	return fuse.ReadResultData(append([]byte(nil), n.data[off:min(off+int64(len(dest)), int64(len(n.data)))]...)), 0
}

// Write changes what programs see.
func (n *node) Write(_ context.Context, h fs.FileHandle, data []byte, off int64) (uint32, syscall.Errno) {
	n.d.mu.Lock()
	defer n.d.mu.Unlock()
	n.change(write{off, append([]byte{}, data...)})
	if uint32(h.(handle))&syscall.O_SYNC != 0 {
		n.flush()
	}
	return uint32(len(data)), 0
}

// Flush is close, which makes nothing durable.
func (n *node) Flush(context.Context, fs.FileHandle) syscall.Errno { return 0 }

// Fsync makes a file's content, or a folder's names, durable.
func (n *node) Fsync(context.Context, fs.FileHandle, uint32) syscall.Errno {
	n.d.mu.Lock()
	defer n.d.mu.Unlock()
	n.flush()
	return 0
}

// flush is what fsync does on this kind of disk.
func (n *node) flush() {
	switch {
	case n.d.kind.lies:
	case n.durable != nil:
		n.flushNames()
	default:
		n.flushed, n.pending = append([]byte(nil), n.data...), nil
		if n.d.kind.journal {
			n.d.root.flushTree()
		}
	}
}

// flushTree makes the names in a folder and in all below it what programs see.
func (n *node) flushTree() {
	n.flushNames()
	for _, child := range n.durable {
		if child.durable != nil {
			child.flushTree()
		}
	}
}

// flushNames makes a folder's names what programs see.
func (n *node) flushNames() {
	clear(n.durable)
	maps.Copy(n.durable, n.names())
}

// names is a folder's names as programs see them.
func (n *node) names() map[string]*node {
	out := map[string]*node{}
	for name, ino := range n.Children() {
		out[name] = ino.Operations().(*node)
	}
	return out
}

// Getattr says a file's length.
func (n *node) Getattr(_ context.Context, _ fs.FileHandle, out *fuse.AttrOut) syscall.Errno {
	n.d.mu.Lock()
	defer n.d.mu.Unlock()
	n.attr(out)
	return 0
}

func (n *node) attr(out *fuse.AttrOut) {
	out.Size, out.Mode = uint64(len(n.data)), 0o600
	if n.durable != nil {
		out.Mode, out.Mtime = 0o700, n.changes
	}
}

// Setattr changes a file's length.
func (n *node) Setattr(_ context.Context, _ fs.FileHandle, in *fuse.SetAttrIn, out *fuse.AttrOut) syscall.Errno {
	n.d.mu.Lock()
	defer n.d.mu.Unlock()
	if size, ok := in.GetSize(); ok {
		n.change(write{off: int64(size)})
	}
	n.attr(out)
	return 0
}

// Statfs says that there is room.
func (n *node) Statfs(_ context.Context, out *fuse.StatfsOut) syscall.Errno {
	out.Bsize, out.Frsize, out.Blocks, out.Bfree, out.Bavail = 4096, 4096, 1<<30, 1<<30, 1<<30
	return 0
}
