package logger

import (
	"errors"
	"os"
	"path/filepath"
	"sort"
	"strings"
	"sync/atomic"
)

// Port is a serial port of this computer.
type Port struct {
	Name     string // what to give to --port
	Stable   string // a name that stays with the device, empty if there is none
	USB      bool
	VendorID string // four hex digits, upper case
	ModelID  string
	Serial   string // the device's own number
	Maker    string
	Product  string
}

// ErrRecording says that the ports were not listed because one is in use.
var ErrRecording = errors.New("the ports are not listed while a logger is being read: " +
	"on some systems a look at a port resets it; end the recording first")

// openPorts counts the ports that this program has open.
var openPorts atomic.Int32

// Ports lists the serial ports, USB ports first, by name. It refuses with
// ErrRecording while this program has a port open.
func Ports() ([]Port, error) {
	if openPorts.Load() > 0 {
		return nil, ErrRecording
	}
	list, err := systemPorts()
	if err != nil {
		return nil, err
	}
	sort.Slice(list, func(i, j int) bool {
		if list[i].USB != list[j].USB {
			return list[i].USB
		}
		return list[i].Name < list[j].Name
	})
	return list, nil
}

// byIDDir is where Linux keeps a link for each USB serial device that is
// made of the device's maker, type and serial number.
const byIDDir = "/dev/serial/by-id"

// linksMost bounds the look through byIDDir.
const linksMost = 256

// stablePath is the by-id link that points to the same node as port, or port
// where there is none or port is no USB port's node.
func stablePath(port, dir string) string {
	base := filepath.Base(port)
	if !strings.HasPrefix(base, "ttyUSB") && !strings.HasPrefix(base, "ttyACM") {
		return port
	}
	if link := byIDLink(port, dir); link != "" {
		return link
	}
	return port
}

func byIDLink(port, dir string) string {
	node, err := filepath.EvalSymlinks(port)
	if err != nil {
		return ""
	}
	links, err := os.ReadDir(dir)
	if err != nil {
		return ""
	}
	for _, l := range links[:min(len(links), linksMost)] {
		full := filepath.Join(dir, l.Name())
		if to, err := filepath.EvalSymlinks(full); err == nil && to == node {
			return full
		}
	}
	return ""
}
