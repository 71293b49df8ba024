package finish

import (
	"context"
	"encoding/xml"
	"errors"
	"io"
	"strings"
	"testing"

	"undercoat/finish/rub"
	"undercoat/palette"
	"undercoat/palette/colour"
	"undercoat/testdata/demo"
)

// A grey scale as a screen of 8 bits shows it stays within the standard's own
// tolerance of every pair (ISO 105-A02, A03), and its picture is sound XML.
func TestGreyScaleOnAScreen(t *testing.T) {
	for _, scale := range []string{"staining", "change"} {
		pairs, err := GreyScale(scale)
		if err != nil || len(pairs) != 9 {
			t.Fatalf("%s: %d pairs, %v", scale, len(pairs), err)
		}
		for _, p := range pairs {
			a, err1 := colour.Parse(p.Reference)
			b, err2 := colour.Parse(p.Other)
			if err1 != nil || err2 != nil {
				t.Fatal(err1, err2)
			}
			// What a recovered surface colour gives up at near white is below 0.02.
			d := colour.Difference76(a.Lab(), b.Lab())
			if d < p.DE-p.Tolerance || d > p.DE+p.Tolerance || d < p.Shown-0.03 || d > p.Shown+0.03 {
				t.Errorf("%s %s: shown %.2f (said %.2f), the pair is %.2f ± %.2f", scale, p.Grade, d, p.Shown, p.DE, p.Tolerance)
			}
		}
		var b strings.Builder
		if err := WriteGreyScale(&b, scale); err != nil {
			t.Fatal(err)
		}
		dec := xml.NewDecoder(strings.NewReader(b.String()))
		for {
			if _, err := dec.Token(); errors.Is(err, io.EOF) {
				break
			} else if err != nil {
				t.Fatal(err)
			}
		}
		for _, p := range pairs {
			if !strings.Contains(b.String(), p.Other) || !strings.Contains(b.String(), ">"+p.Grade+"<") {
				t.Errorf("%s: pair %s is not in the picture", scale, p.Grade)
			}
		}
	}
	if _, err := GreyScale("grey"); err == nil {
		t.Error("an unknown scale was shown")
	}
}

// A test may be put on record by eye, by colours or by a photograph, and by one
// of them only; what is refused changes nothing.
func TestAddTestByEyeAndByPhotograph(t *testing.T) {
	ctx := context.Background()
	b, err := Open(ctx, t.TempDir()+"/w.db", demoClock)
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	if _, err := b.ImportJob(ctx, demo.Files()); err != nil {
		t.Fatal(err)
	}
	before, err := b.Tests(ctx)
	if err != nil {
		t.Fatal(err)
	}
	s := usualShots()["ink blue, lamp from the left"]
	photo := PhotoGrade{Picture: s.picture(t), Clean: []palette.Rect{leftAt, rightAt}, Stained: []palette.Rect{stainAt}}
	for name, e := range map[string]TestEntry{
		"two ways":         {Subject: "C5", How: "damp rub", Grade: "4", Clean: "#ffffff"},
		"photo and eye":    {Subject: "C5", How: "damp rub", Grade: "4", Photo: &photo},
		"no such grade":    {Subject: "C5", How: "damp rub", Grade: "3.2"},
		"no such way":      {Subject: "C5", How: "lick"},
		"no such retest":   {Subject: "C5", How: "damp rub", Retests: "RT99"},
		"no such subject":  {Subject: "C99", How: "damp rub", Grade: "4"},
		"change unstated":  {Subject: "C5", How: "wash", Photo: &photo},
		"no subject":       {How: "damp rub"},
		"no such colour":   {Subject: "C5", How: "damp rub", Clean: "whitish"},
		"no such moment":   {Subject: "C5", How: "damp rub", When: "yesterdayish"},
		"no such age":      {Subject: "C5", How: "damp rub", Age: "old"},
		"code twice":       {Code: "RT1", Subject: "C5", How: "damp rub"},
		"rectangles cross": {Subject: "C5", How: "damp rub", Photo: &PhotoGrade{Picture: photo.Picture, Clean: photo.Stained, Stained: photo.Stained}},
	} {
		if l, err := b.AddTest(ctx, e); err == nil {
			t.Errorf("%s: recorded as %+v", name, l)
		}
	}
	if after, _ := b.Tests(ctx); len(after) != len(before) {
		t.Fatalf("%d tests after refusals, %d before", len(after), len(before))
	}
	eye, err := b.AddTest(ctx, TestEntry{Subject: "C5", Against: "white cloth", How: "damp rub", Grade: "3-4", When: "2026-10-25"})
	if err != nil || eye.Code != "RT13" || !eye.ByEye || eye.Grade != "3-4" || eye.Retests != "RT4" {
		t.Errorf("by eye: %+v, %v", eye, err)
	}
	shot, err := b.AddTest(ctx, TestEntry{Subject: "C5", How: "damp rub", Photo: &photo, Retests: "RT2"})
	truth := rub.Staining(s.clean, s.stain).Grade
	if err != nil || shot.ByEye || shot.GradeLow == "" || shot.Retests != "RT2" || shot.Grade != truth.String() {
		t.Errorf("by photograph: %+v, %v; true is %s", shot, err, truth)
	}
}
