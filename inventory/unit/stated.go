package unit

import (
	"encoding/json"
	"fmt"
)

// Stated is a value somebody stated, or a stated unknown: an empty cell of a
// table is unknown, never zero. The zero value is unknown. Two Stated values of
// a comparable T may be compared with ==.
type Stated[T any] struct {
	v  T
	ok bool
}

// State returns v as a known value.
func State[T any](v T) Stated[T] { return Stated[T]{v: v, ok: true} }

// Get returns the value and whether it is known; unknown gives T's zero value.
func (s Stated[T]) Get() (T, bool) { return s.v, s.ok }

// Or returns the value, or def when it is unknown.
func (s Stated[T]) Or(def T) T {
	if s.ok {
		return s.v
	}
	return def
}

// Known says whether somebody stated the value.
func (s Stated[T]) Known() bool { return s.ok }

// String prints the value, or nothing when it is unknown.
func (s Stated[T]) String() string {
	if !s.ok {
		return ""
	}
	return fmt.Sprint(s.v)
}

// MarshalJSON writes null for unknown.
func (s Stated[T]) MarshalJSON() ([]byte, error) {
	if !s.ok {
		return []byte("null"), nil
	}
	return json.Marshal(s.v)
}

// UnmarshalJSON reads null as unknown.
func (s *Stated[T]) UnmarshalJSON(b []byte) error {
	if string(b) == "null" {
		*s = Stated[T]{}
		return nil
	}
	var v T
	if err := json.Unmarshal(b, &v); err != nil {
		return err
	}
	*s = State(v)
	return nil
}
