package inventory

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// A disk that really fills up: a file system of 1.5 MB of its own, in a process
// with a mount table of its own. Every write is answered by success or by
// ErrFull; what was answered is there afterwards, what was refused left nothing,
// and with room again the work goes on. More rounds: UNDERCOAT_TEST_KILLS.
func TestDiskFillsUp(t *testing.T) {
	if dir := os.Getenv("UNDERCOAT_TEST_SMALL_DISK"); dir != "" {
		onSmallDisk(t, dir)
		return
	}
	cmd := child(t, "TestDiskFillsUp", "UNDERCOAT_TEST_SMALL_DISK="+t.TempDir())
	cmd.Args = append(cmd.Args, "-test.v")
	cmd.SysProcAttr = &syscall.SysProcAttr{
		Cloneflags:  syscall.CLONE_NEWUSER | syscall.CLONE_NEWNS,
		UidMappings: []syscall.SysProcIDMap{{ContainerID: 0, HostID: os.Getuid(), Size: 1}},
		GidMappings: []syscall.SysProcIDMap{{ContainerID: 0, HostID: os.Getgid(), Size: 1}},
	}
	out, err := cmd.CombinedOutput()
	if errors.Is(err, syscall.EPERM) || errors.Is(err, syscall.EINVAL) || errors.Is(err, syscall.ENOSPC) || strings.Contains(string(out), "may not mount") {
		t.Skipf("this machine lets no test mount a small file system: %v", err)
	}
	if err != nil {
		t.Errorf("on the small disk: %v\n%s", err, out)
	}
	for line := range strings.Lines(string(out)) {
		if strings.Contains(line, "refused") {
			t.Log(strings.TrimSpace(line))
		}
	}
}

func onSmallDisk(t *testing.T, dir string) {
	if err := syscall.Mount("undercoat-test", dir, "tmpfs", 0, "size=1536k"); err != nil {
		t.Fatalf("may not mount: %v", err)
	}
	defer syscall.Unmount(dir, syscall.MNT_DETACH)
	path := filepath.Join(dir, "room.undercoat")
	f, err := Open(ctx, path, clock)
	if err != nil {
		t.Fatal(err)
	}
	mustImport(t, f, small())
	rounds := 12
	if s := os.Getenv("UNDERCOAT_TEST_KILLS"); s != "" {
		fmt.Sscan(s, &rounds)
	}
	r := rand.New(rand.NewPCG(7, 7))
	var answered []string
	refused := 0
	for round := range rounds {
		ballast := filepath.Join(dir, "ballast")
		fill(t, ballast, r.IntN(40)<<10)
		for i := 0; ; i++ {
			step := fmt.Sprintf("%d-%d", round, i)
			before := folderOf(t, f, "Harvest play")
			err := writeFact(f, i, step)
			if err == nil {
				answered = append(answered, step)
				if i < 40 {
					continue
				}
				break
			}
			if !errors.Is(err, ErrFull) {
				t.Fatalf("a full disk was answered by %v, want %v", err, ErrFull)
			}
			refused++
			if d := cmp.Diff(before, folderOf(t, f, "Harvest play")); d != "" {
				t.Fatalf("a refused write changed something:\n%s", d)
			}
			break
		}
		if err := f.Backup(ctx, filepath.Join(dir, "copy")); err == nil {
			os.Remove(filepath.Join(dir, "copy"))
		}
		if f = openAgain(t, f, path, ballast); f == nil {
			return
		}
		holdsSteps(t, f, answered)
	}
	f.Close()
	if refused == 0 {
		t.Error("the disk never filled up: the test tests nothing")
	}
	t.Logf("%d rounds: %d writes answered and kept, %d refused for a full disk and without a trace", rounds, len(answered), refused)
}

// writeFact marks a step and, now and then, imports the job with a picture.
func writeFact(f *File, i int, step string) error {
	if i%4 == 3 {
		if _, err := f.ImportJob(ctx, withFile(small(), "pictures/R1.png", strings.Repeat("x", 30_000+i))); err != nil {
			return err
		}
	}
	_, err := f.Done(ctx, At{Job: "Harvest play"}, DoneFact{Step: step})
	return err
}

// fill leaves about `spare` bytes of the disk free.
func fill(t *testing.T, path string, spare int) {
	t.Helper()
	b, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	chunk := make([]byte, 4096)
	for {
		if _, err := b.Write(chunk); err != nil {
			break
		}
	}
	info, err := b.Stat()
	if err == nil {
		err = b.Truncate(max(0, info.Size()-int64(spare)))
	}
	if err != nil {
		t.Fatal(err)
	}
}

// openAgain closes the file on the full disk, opens it there (which may be
// refused, but only as full), makes room and opens it for good.
func openAgain(t *testing.T, f *File, path, ballast string) *File {
	t.Helper()
	f.Close()
	g, err := Open(ctx, path, clock)
	if err == nil {
		g.Close()
	} else if !errors.Is(err, ErrFull) {
		t.Errorf("opening on a full disk: %v, want it to open or say %v", err, ErrFull)
	}
	if err := os.Remove(ballast); err != nil {
		t.Fatal(err)
	}
	g, err = Open(ctx, path, clock)
	if err != nil {
		t.Fatalf("with room again: %v", err)
	}
	if found, err := g.Check(ctx); err != nil || len(found) != 0 {
		t.Errorf("with room again: %v, %v", found, err)
	}
	return g
}

func holdsSteps(t *testing.T, f *File, steps []string) {
	t.Helper()
	j, err := f.Job(ctx, "Harvest play")
	if err != nil {
		t.Fatal(err)
	}
	held := map[string]bool{}
	for _, d := range j.Done {
		held[d.Step] = true
	}
	for _, s := range steps {
		if !held[s] {
			t.Errorf("step %s was answered and is gone", s)
		}
	}
}
