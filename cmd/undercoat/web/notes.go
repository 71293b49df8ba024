package web

import (
	"crypto/rand"
	"net/http"
	"net/url"
	"strconv"
	"sync"
)

// note is what a page says once after a form was taken, with the way back.
type note struct {
	Text string
	Undo *undo
}

// undo is a form that takes a write back.
type undo struct {
	Action string
	Fields [][2]string
	Label  string
}

// newUndo makes a form that takes a write back; it rests on the version of the
// job after that write.
func newUndo(version int64, action, label string, fields ...[2]string) *undo {
	return &undo{Action: action, Label: label, Fields: append(fields, [2]string{"version", strconv.FormatInt(version, 10)})}
}

// notes are kept until they are shown; a request names one by an id it cannot
// guess, so no text of a request is ever shown.
type notes struct {
	mu   sync.Mutex
	kept map[string]note
}

// mostNotes bounds the notes nobody came back for.
const mostNotes = 200

// put keeps a note and returns its id.
func (n *notes) put(t note) string {
	id := rand.Text()
	n.mu.Lock()
	defer n.mu.Unlock()
	if n.kept == nil || len(n.kept) >= mostNotes {
		n.kept = map[string]note{}
	}
	n.kept[id] = t
	return id
}

// take returns a note and forgets it.
func (n *notes) take(id string) *note {
	n.mu.Lock()
	defer n.mu.Unlock()
	t, ok := n.kept[id]
	if !ok {
		return nil
	}
	delete(n.kept, id)
	return &t
}

// back sends the browser to a page with a note.
func (s *Server) back(w http.ResponseWriter, r *http.Request, to string, n note) error {
	u, err := url.Parse(to)
	if err != nil {
		return err
	}
	q := u.Query()
	q.Set("note", s.notes.put(n))
	u.RawQuery = q.Encode()
	http.Redirect(w, r, u.String(), http.StatusSeeOther)
	return nil
}
