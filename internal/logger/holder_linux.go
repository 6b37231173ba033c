package logger

import (
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"golang.org/x/sys/unix"
)

// foreignHold says whether another program has asked for the port alone.
// The system enforces that against ordinary users only. A flag that a killed
// program left on a pseudo-terminal holds nobody up: somebody must be there.
func foreignHold(path string, mine *portLock) bool {
	excl, err := unix.IoctlGetInt(mine.fd, unix.TIOCGEXCL)
	return err == nil && excl != 0 && len(portHolders(path, mine)) > 0
}

// Limits on the walk through /proc.
const (
	processesMost   = 65536
	descriptorsMost = 4096
	holdersMost     = 4
)

// portHolders names the programs that have the port open, other than through
// the lock mine. An ordinary user sees only the programs of that user.
func portHolders(path string, mine *portLock) []string {
	var target unix.Stat_t
	if err := unix.Stat(path, &target); err != nil {
		return nil
	}
	procs, err := os.ReadDir("/proc")
	if err != nil {
		return nil
	}
	var who []string
	for _, p := range procs[:min(len(procs), processesMost)] {
		pid, err := strconv.Atoi(p.Name())
		if err != nil || !hasOpen(pid, target.Rdev, mine) {
			continue
		}
		if who = append(who, programName(pid)); len(who) == holdersMost {
			break
		}
	}
	return who
}

func hasOpen(pid int, rdev uint64, mine *portLock) bool {
	dir := filepath.Join("/proc", strconv.Itoa(pid), "fd")
	fds, err := os.ReadDir(dir)
	if err != nil {
		return false
	}
	own := -1
	if mine != nil && pid == os.Getpid() {
		own = mine.fd
	}
	for _, fd := range fds[:min(len(fds), descriptorsMost)] {
		if fd.Name() == strconv.Itoa(own) {
			continue
		}
		full := filepath.Join(dir, fd.Name())
		// The link's text is looked at first: a stat of every file of every
		// program could hang on a dead network disk.
		if link, err := os.Readlink(full); err != nil || !strings.HasPrefix(link, "/dev/") {
			continue
		}
		var st unix.Stat_t
		if unix.Stat(full, &st) == nil && st.Mode&unix.S_IFMT == unix.S_IFCHR && st.Rdev == rdev {
			return true
		}
	}
	return false
}

func programName(pid int) string {
	if pid == os.Getpid() {
		return "this program itself"
	}
	comm, err := os.ReadFile(filepath.Join("/proc", strconv.Itoa(pid), "comm"))
	if err != nil {
		return fmt.Sprintf("process %d", pid)
	}
	return fmt.Sprintf("%s (process %d)", strings.TrimSpace(string(comm)), pid)
}
