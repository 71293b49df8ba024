package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"time"

	"github.com/spf13/cobra"

	"undercoat/finish"
)

// environment carries what every verb needs: where results and talk go, the
// clock, and the global flags.
type environment struct {
	out, talk io.Writer
	now       func() time.Time
	file      string
	job       string // "" is the only job in the file
	json      bool
}

func newRootCommand(env *environment) *cobra.Command {
	root := &cobra.Command{
		Use:   "undercoat",
		Short: "From pictures of a figure to cloth, paint and trim in those colours, by a date",
		Long: `undercoat reads the colours of a figure from pictures, matches them to the cloth, paint and trim
of one workroom, plans coats, amounts, drying and the order of work up to a date that does not move,
and says whether a dark cloth may be worn over a light one. It keeps one workroom file and computes
everything else from the facts in it.

Exit status: 0 done; 1 could not (one line says why); 2 the words were wrong.`,
		Example:       "  undercoat demo demo\n  undercoat palette figure.jpg --patch coat=120,300,80,80",
		Version:       buildVersion(),
		SilenceErrors: true,
		SilenceUsage:  true,
		Args:          noWords,
		RunE:          func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	flags := root.PersistentFlags()
	flags.StringVar(&env.file, "file", "", "the workroom file (default: $UNDERCOAT_FILE, then the user's data folder)")
	flags.StringVar(&env.job, "job", "", "the job, by name, where the file holds several")
	flags.BoolVar(&env.json, "json", false, "print the answer as JSON")
	root.SetFlagErrorFunc(func(cmd *cobra.Command, err error) error { return wording(cmd, err) })
	root.AddCommand(
		newDemoCommand(env), newPaletteCommand(env), newStockCommand(env), newMatchCommand(env), newLayersCommand(env),
		newRecipeCommand(env), newJobCommand(env), newTargetCommand(env), newChooseCommand(env), newPlanCommand(env),
		newDoneCommand(env), newRubCommand(env), newContactsCommand(env), newAirCommand(env), newCautionsCommand(env),
		newSheetCommand(env), newServeCommand(env), newBackupCommand(env), newCheckCommand(env), newLicencesCommand(env),
	)
	return root
}

// wording marks an error as one of the command's words, with the way to help.
func wording(cmd *cobra.Command, err error) error {
	return &wordingError{err: err, hints: []string{cmd.CommandPath() + " --help"}}
}

// Argument checks that end with exit status 2.

func noWords(cmd *cobra.Command, args []string) error {
	return checkArgs(cmd, args, cobra.NoArgs)
}

func words(least, most int) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		return checkArgs(cmd, args, cobra.RangeArgs(least, most))
	}
}

func atLeast(n int) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		return checkArgs(cmd, args, cobra.MinimumNArgs(n))
	}
}

func checkArgs(cmd *cobra.Command, args []string, check cobra.PositionalArgs) error {
	if err := check(cmd, args); err != nil {
		if cmd.HasSubCommands() && len(args) > 0 {
			return wording(cmd, fmt.Errorf("%s: there is no command %q", cmd.CommandPath(), args[0]))
		}
		return wording(cmd, fmt.Errorf("%s: expected `%s`, got %d words after it", cmd.Name(), cmd.Use, len(args)))
	}
	return nil
}

// folder is a folder to read tables from; one that is not there is named.
func folder(path string) (fs.FS, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, fmt.Errorf("open folder: %w", err)
	}
	if !info.IsDir() {
		return nil, fmt.Errorf("open folder: %s: expected a folder of tables, found a file", path)
	}
	return os.DirFS(path), nil
}

// workroom opens the workroom file for one verb and closes it afterwards.
func (env *environment) workroom(ctx context.Context, verb func(*finish.Bench) error) error {
	path, err := env.workroomPath()
	if err != nil {
		return err
	}
	bench, err := finish.Open(ctx, path, env.now)
	if err != nil {
		return err
	}
	err = verb(bench.ForJob(env.job))
	if cerr := bench.Close(); err == nil {
		err = cerr
	}
	return err
}

// workroomPath is --file, then UNDERCOAT_FILE, then the system's folder for a
// user's data.
func (env *environment) workroomPath() (string, error) {
	if env.file != "" {
		return env.file, nil
	}
	if p := os.Getenv("UNDERCOAT_FILE"); p != "" {
		return p, nil
	}
	home, err := os.UserHomeDir()
	if err != nil {
		return "", fmt.Errorf("find workroom file: no home folder: name the file with --file FILE or UNDERCOAT_FILE")
	}
	usual, old := dataFolders(runtime.GOOS, home, os.Getenv)
	dir := filepath.Join(usual, "undercoat")
	if earlier := filepath.Join(old, "undercoat", "workroom.db"); old != usual && exists(earlier) && !exists(filepath.Join(dir, "workroom.db")) {
		return earlier, nil
	}
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return "", fmt.Errorf("make data folder: %w", err)
	}
	return filepath.Join(dir, "workroom.db"), nil
}

// dataFolders are the folder where programs of the system keep a user's data,
// and the one used before on every system, ~/.local/share, where an existing
// file is still found. XDG_DATA_HOME counts where it is set to an absolute
// path, on every system: XDG Base Directory Specification 0.8 tells to ignore
// a relative one.
func dataFolders(system, home string, getenv func(string) string) (usual, old string) {
	old = filepath.Join(home, ".local", "share")
	if xdg := getenv("XDG_DATA_HOME"); filepath.IsAbs(xdg) {
		return xdg, old
	}
	switch system {
	case "windows":
		if local := getenv("LOCALAPPDATA"); local != "" {
			return local, old
		}
		return filepath.Join(home, "AppData", "Local"), old
	case "darwin", "ios":
		return filepath.Join(home, "Library", "Application Support"), old
	}
	return old, old
}

func exists(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}

// answer prints a verb's answer: as JSON with --json, else by the given
// printer.
func (env *environment) answer(v any, print func(io.Writer) error) error {
	if env.json {
		enc := json.NewEncoder(env.out)
		enc.SetIndent("", "  ")
		enc.SetEscapeHTML(false)
		return enc.Encode(v)
	}
	return print(env.out)
}

// say talks to the person on standard error; scripts read standard output.
func (env *environment) say(format string, args ...any) {
	fmt.Fprintf(env.talk, format+"\n", args...)
}
