package logger

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

func systemPorts() ([]Port, error) { return sysfsPorts("/sys/class/tty", "/dev", byIDDir) }

// Limits on the walk through sysfs.
const (
	ttysMost    = 4096
	parentsMost = 6
)

// sysfsPorts reads the ports from sysfs. Unlike the usual enumerators it
// opens none of them: opening resets some boards, and takes away another
// program's exclusive hold when root does it.
func sysfsPorts(classDir, devDir, linkDir string) ([]Port, error) {
	ttys, err := os.ReadDir(classDir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("the serial ports can't be listed: %w", err)
	}
	var list []Port
	for _, t := range ttys[:min(len(ttys), ttysMost)] {
		dir := filepath.Join(classDir, t.Name())
		device, err := filepath.EvalSymlinks(filepath.Join(dir, "device"))
		if err != nil || t.Name() == "" {
			continue // no hardware behind it: consoles, pseudo-terminals
		}
		if attribute(dir, "type") == "0" {
			continue // a place for a port that was not found (PORT_UNKNOWN)
		}
		p := Port{Name: filepath.Join(devDir, t.Name())}
		p.fillUSB(device)
		p.Stable = byIDLink(p.Name, linkDir)
		list = append(list, p)
	}
	return list, nil
}

// fillUSB looks for the USB device above the tty's own device: one floor up
// for a ttyACM, two for a ttyUSB.
func (p *Port) fillUSB(device string) {
	for range parentsMost {
		if id := attribute(device, "idVendor"); id != "" {
			p.USB = true
			p.VendorID, p.ModelID = strings.ToUpper(id), strings.ToUpper(attribute(device, "idProduct"))
			p.Serial, p.Maker, p.Product = attribute(device, "serial"), attribute(device, "manufacturer"), attribute(device, "product")
			return
		}
		device = filepath.Dir(device)
	}
}

// attribute is a sysfs file's one line, empty where there is none: most
// devices lack some.
func attribute(dir, name string) string {
	b, err := os.ReadFile(filepath.Join(dir, name))
	if err != nil {
		return ""
	}
	return strings.TrimSpace(string(b))
}
