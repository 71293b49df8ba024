package main

import (
	"fmt"

	"github.com/spf13/cobra"
)

func newServeCommand(env *environment) *cobra.Command {
	return &cobra.Command{Use: "serve", RunE: func(*cobra.Command, []string) error { return fmt.Errorf("serve: not yet") }}
}
