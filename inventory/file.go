package inventory

import (
	"context"
	"errors"
	"io/fs"
	"time"
)

// File is one workroom's facts in one file.
type File struct{ now func() time.Time }

var errSoon = errors.New("not yet")

// At names a job and the version a write rests on; 0 writes over any version.
type At struct {
	Job     string
	Version int64
}

// Report says what an import did.
type Report struct {
	Job      string
	Version  int64
	Rows     []Count // rows read per table
	Unknown  []string
	Kept     []string
	Warnings []string
}

// Count is a number of rows of one table.
type Count struct {
	File string
	Rows int
}

// BadCell names one cell of a table that could not be taken.
type BadCell struct {
	File     string
	Row      int
	Column   string
	Found    string
	Expected string
}

// Finding is one thing a check found.
type Finding struct {
	Table, Row, Column, What string
}

// Open opens a workroom file, making it where there is none.
func Open(ctx context.Context, path string, now func() time.Time) (*File, error) {
	return nil, errSoon
}

// Close closes the file.
func (f *File) Close() error { return nil }

// Stock returns a snapshot of the shelf.
func (f *File) Stock(ctx context.Context) (Stock, error) { return Stock{}, errSoon }

// StockFor is [File.Stock] with what the job itself has reserved left on hand.
func (f *File) StockFor(ctx context.Context, job string) (Stock, error) { return Stock{}, errSoon }

// Jobs lists the names of the jobs.
func (f *File) Jobs(ctx context.Context) ([]string, error) { return nil, errSoon }

// Job returns everything a job states.
func (f *File) Job(ctx context.Context, name string) (JobFacts, error) { return JobFacts{}, errSoon }

// ImportJob reads a job's folder of tables, all or nothing.
func (f *File) ImportJob(ctx context.Context, folder fs.FS) (Report, error) { return Report{}, errSoon }

// ExportJob writes a job's folder of tables.
func (f *File) ExportJob(ctx context.Context, name, dir string) error { return errSoon }

// Approve freezes an area's target.
func (f *File) Approve(ctx context.Context, at At, t TargetFact) (version int64, err error) {
	return 0, errSoon
}

// Choose records the maker's choice for an area.
func (f *File) Choose(ctx context.Context, at At, c ChoiceFact) (version int64, err error) {
	return 0, errSoon
}

// Done records a finished step and takes what it used off the shelf.
func (f *File) Done(ctx context.Context, at At, d DoneFact) (version int64, err error) {
	return 0, errSoon
}

// AddTest records a test.
func (f *File) AddTest(ctx context.Context, at At, t TestFact) (version int64, err error) {
	return 0, errSoon
}

// AddMeasure records a measure of a stock line.
func (f *File) AddMeasure(ctx context.Context, m Measure) error { return errSoon }

// Backup writes a consistent copy of the file.
func (f *File) Backup(ctx context.Context, path string) error { return errSoon }

// Check reads everything and explains what it finds.
func (f *File) Check(ctx context.Context) ([]Finding, error) { return nil, errSoon }
