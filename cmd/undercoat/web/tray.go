package web

import (
	"crypto/rand"
	"errors"
	"sync"
	"time"

	"undercoat/finish"
)

// photo is a photograph held in memory while something is read from it. It
// belongs to no job and never reaches the disk.
type photo struct {
	finish.NamedFile
	W, H int
	at   time.Time
}

// tray holds the photographs that are being read.
type tray struct {
	mu   sync.Mutex
	kept map[string]photo
	now  func() time.Time
}

// Bounds of the tray.
const (
	mostPhotos  = 12
	photoHolds  = time.Hour
	mostInTray  = 192 << 20 // bytes
	trayNothing = "open photograph: it is not held any more: add it again"
)

var errNoPhoto = errors.New(trayNothing)

// put holds a photograph under an id that cannot be guessed; the oldest make
// room.
func (t *tray) put(p photo) string {
	t.mu.Lock()
	defer t.mu.Unlock()
	p.at = t.now()
	if t.kept == nil {
		t.kept = map[string]photo{}
	}
	id := rand.Text()
	t.kept[id] = p
	for {
		oldest, held := "", 0
		for k, q := range t.kept {
			held += len(q.Bytes)
			if oldest == "" || q.at.Before(t.kept[oldest].at) || q.at.Equal(t.kept[oldest].at) && k != id {
				oldest = k
			}
		}
		if len(t.kept) <= mostPhotos && held <= mostInTray && p.at.Sub(t.kept[oldest].at) < photoHolds || oldest == id {
			return id
		}
		delete(t.kept, oldest)
	}
}

func (t *tray) get(id string) (photo, error) {
	t.mu.Lock()
	defer t.mu.Unlock()
	p, ok := t.kept[id]
	if !ok {
		return photo{}, errNoPhoto
	}
	return p, nil
}
