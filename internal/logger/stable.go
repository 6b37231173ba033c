package logger

import (
	"os"
	"path/filepath"
	"strings"
)

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
