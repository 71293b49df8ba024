//go:build unix

package inventory

import (
	"os/exec"
	"syscall"
)

// asNobody has a command run as the user nobody.
func asNobody(cmd *exec.Cmd) {
	cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: 65534, Gid: 65534}}
}
