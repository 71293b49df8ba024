package finish

import (
	"archive/zip"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"undercoat/inventory"
	"undercoat/testdata/demo"
)

// JobZip writes a job's folder of tables and pictures as one zip file; taking
// it in again gives the same job.
func (b *Bench) JobZip(ctx context.Context, name string, out io.Writer) error {
	files, err := b.file.JobFolder(ctx, name)
	if err != nil {
		return err
	}
	return writeZip(out, files)
}

// StockZip writes the whole shelf as one zip file of tables.
func (b *Bench) StockZip(ctx context.Context, out io.Writer) error {
	files, err := b.file.StockFolder(ctx)
	if err != nil {
		return err
	}
	return writeZip(out, files)
}

// writeZip writes files without times: the same files give the same bytes.
func writeZip(out io.Writer, files []inventory.PictureFact) error {
	z := zip.NewWriter(out)
	for _, f := range files {
		w, err := z.CreateHeader(&zip.FileHeader{Name: f.Name, Method: zip.Deflate})
		if err == nil {
			_, err = w.Write(f.Bytes)
		}
		if err != nil {
			return fmt.Errorf("write zip file: %s: %w", f.Name, err)
		}
	}
	if err := z.Close(); err != nil {
		return fmt.Errorf("write zip file: %w", err)
	}
	return nil
}

// BackupTo writes a consistent copy of the workroom file.
func (b *Bench) BackupTo(ctx context.Context, out io.Writer) (err error) {
	dir, err := os.MkdirTemp("", "undercoat-copy")
	if err != nil {
		return fmt.Errorf("copy workroom: %w", err)
	}
	defer func() { err = errors.Join(err, os.RemoveAll(dir)) }()
	path := filepath.Join(dir, "workroom.db")
	if err := b.file.Backup(ctx, path); err != nil {
		return err
	}
	f, err := os.Open(path)
	if err != nil {
		return fmt.Errorf("copy workroom: %w", err)
	}
	defer f.Close()
	if _, err := io.Copy(out, f); err != nil {
		return fmt.Errorf("copy workroom: %w", err)
	}
	return nil
}

// TakeDemo takes the invented demo job into this workroom, approves its targets
// and chooses what it is made with. A workroom that has the job keeps its own.
func (b *Bench) TakeDemo(ctx context.Context) (job string, err error) {
	jobs, err := b.file.Jobs(ctx)
	if err != nil {
		return "", err
	}
	if len(jobs) > 0 {
		return "", errors.New("take in the demo: this workroom holds a job already: try it in a workroom file of its own")
	}
	report, err := b.file.ImportJob(ctx, demo.Files())
	if err != nil {
		return "", err
	}
	of, quiet := b.ForJob(report.Job), func(string) {}
	if _, err := of.approveAll(ctx, quiet); err != nil {
		return "", err
	}
	if _, err := of.chooseCloth(ctx, quiet); err != nil {
		return "", err
	}
	return report.Job, of.acceptAll(ctx, quiet)
}
