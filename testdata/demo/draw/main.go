// Draw writes the demo job's reference pictures R1 to R4 and the two tables
// that name places in them, patches.csv and references.csv, into a folder:
//
//	go run ./testdata/demo/draw [FOLDER]
//
// FOLDER is testdata/demo where not given. The same source gives the same
// bytes.
package main

import (
	"fmt"
	"os"
	"path/filepath"

	"undercoat/testdata/demo/draw/keeper"
)

func main() {
	folder := filepath.Join("testdata", "demo")
	if len(os.Args) > 1 {
		folder = os.Args[1]
	}
	if err := run(folder); err != nil {
		fmt.Fprintln(os.Stderr, "draw:", err)
		os.Exit(1)
	}
}

func run(folder string) error {
	pictures := keeper.Pictures()
	files := map[string][]byte{
		"patches.csv":    []byte(keeper.PatchTable(pictures)),
		"references.csv": []byte(keeper.ReferenceTable(pictures)),
	}
	for _, p := range pictures {
		files[p.File] = p.Bytes
	}
	for name, data := range files {
		if err := os.WriteFile(filepath.Join(folder, name), data, 0o644); err != nil {
			return fmt.Errorf("write picture: %w", err)
		}
	}
	return nil
}
