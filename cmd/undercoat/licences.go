package main

import (
	_ "embed"
	"io"

	"github.com/spf13/cobra"
)

// notices are the licences of everything in the binary that is not ours, made
// by TestNotices from the modules the program is built of.
//
//go:embed others.txt
var notices string

func newLicencesCommand(env *environment) *cobra.Command {
	return &cobra.Command{
		Use:   "licences",
		Short: "The licences of everything inside this program",
		Long: `licences prints the notices of the libraries, codecs and fonts inside this program, with their whole texts.
undercoat itself is under the Apache License 2.0. The HEIC codec is under the LGPL 3: DEVELOPERS.md says how to rebuild
the program with another version of it.

Exit status: 0 done; 2 the words were wrong.`,
		Example: "  undercoat licences",
		Args:    noWords,
		RunE: func(*cobra.Command, []string) error {
			type answer struct {
				Notices string `json:"notices"`
			}
			return env.answer(answer{notices}, func(w io.Writer) error {
				_, err := io.WriteString(w, notices)
				return err
			})
		},
	}
}
