package inventory

import (
	"context"
	"testing"
	"testing/fstest"
)

// A spot is a rectangle or an outline; both come back as they were written.
func TestParseSpot(t *testing.T) {
	for text, want := range map[string]Rect{
		"120,80,40,40": {120, 80, 40, 40}, "120,80 160,80 140,120": {120, 80, 40, 40}, "0,0 9,0 9,9 0,9": {0, 0, 9, 9},
	} {
		s, err := ParseSpot(text)
		if err != nil || s.Rect != want || s.String() != text {
			t.Errorf("%q: %v %q, %v; want %v", text, s.Rect, s, err, want)
		}
	}
	for _, bad := range []string{"", "1,2", "1,2 3,4", "1,1 2,1 3,1", "1,1 2,x 3,3", "1,1 -2,2 3,3", "0,0,0,9"} {
		if s, err := ParseSpot(bad); err == nil {
			t.Errorf("%q is read as %+v", bad, s)
		}
	}
}

// A job's pictures are read whole once for every version of it: the bytes are
// the same until something is written, and are read again after that.
func TestPicturesAreReadOncePerVersion(t *testing.T) {
	ctx := context.Background()
	f := newFile(t)
	folder := func(picture string) fstest.MapFS {
		return fstest.MapFS{
			"job.csv": {Data: []byte("key,value\nname,Bells\ntimezone,UTC\n")}, "references.csv": {Data: []byte("code,picture\nR1,R1.png\n")}, "R1.png": {Data: []byte(picture)},
		}
	}
	read := func() []byte {
		t.Helper()
		j, err := f.Job(ctx, "Bells")
		if err != nil || len(j.Pictures) != 1 {
			t.Fatalf("%d pictures, %v", len(j.Pictures), err)
		}
		return j.Pictures[0].Bytes
	}
	if _, err := f.ImportJob(ctx, folder("old")); err != nil {
		t.Fatal(err)
	}
	a, b := read(), read()
	if &a[0] != &b[0] {
		t.Error("the picture was read twice at one version")
	}
	if _, err := f.ImportJob(ctx, folder("new")); err != nil {
		t.Fatal(err)
	}
	if got := string(read()); got != "new" {
		t.Errorf("after the picture changed it is %q", got)
	}
}
