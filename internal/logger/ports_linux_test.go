package logger

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"

	"fillwright/internal/must"
)

// The tree below is sysfs as the kernel's documentation lays it out
// (Documentation/ABI/testing/sysfs-tty and sysfs-bus-usb): a ttyACM's device
// is a USB interface, a ttyUSB's device is a port below one. The devices are
// invented.
func TestSysfsPorts(t *testing.T) {
	root := t.TempDir()
	class, dev, links := filepath.Join(root, "class"), filepath.Join(root, "dev"), filepath.Join(root, "by-id")
	put := func(path, text string) {
		t.Helper()
		full := filepath.Join(root, path)
		must.Do(t, os.MkdirAll(filepath.Dir(full), 0o755))
		must.Do(t, os.WriteFile(full, []byte(text), 0o644))
	}
	link := func(to, path string) {
		t.Helper()
		full := filepath.Join(root, path)
		must.Do(t, os.MkdirAll(filepath.Dir(full), 0o755))
		must.Do(t, os.Symlink(to, full))
	}
	put("devices/usb1/1-1/idVendor", "2341\n")
	put("devices/usb1/1-1/idProduct", "00ab\n")
	put("devices/usb1/1-1/serial", "A1\n")
	put("devices/usb1/1-1/product", "Invented Logger\n")
	put("devices/usb1/1-1/1-1:1.0/bInterfaceClass", "02\n")
	put("devices/usb1/1-2/idVendor", "0403\n")
	put("devices/usb1/1-2/idProduct", "6001\n")
	put("devices/usb1/1-2/manufacturer", "Nobody\n")
	put("devices/usb1/1-2/1-2:1.0/ttyUSB0/port_number", "0\n")
	put("devices/serial8250/uevent", "")
	link(filepath.Join(root, "devices/usb1/1-1/1-1:1.0"), "class/ttyACM0/device")
	link(filepath.Join(root, "devices/usb1/1-2/1-2:1.0/ttyUSB0"), "class/ttyUSB0/device")
	link(filepath.Join(root, "devices/serial8250"), "class/ttyS0/device")
	put("class/ttyS0/type", "4\n")
	link(filepath.Join(root, "devices/serial8250"), "class/ttyS1/device")
	put("class/ttyS1/type", "0\n")
	put("class/console/active", "tty0\n")
	for _, n := range []string{"ttyACM0", "ttyUSB0", "ttyS0", "ttyS1"} {
		put("dev/"+n, "")
	}
	link("../dev/ttyACM0", "by-id/usb-Invented_Logger_A1-if00")

	got := must.Get(sysfsPorts(class, dev, links))(t)
	want := []Port{
		{Name: filepath.Join(dev, "ttyACM0"), Stable: filepath.Join(links, "usb-Invented_Logger_A1-if00"), USB: true,
			VendorID: "2341", ModelID: "00AB", Serial: "A1", Product: "Invented Logger"},
		{Name: filepath.Join(dev, "ttyS0")},
		{Name: filepath.Join(dev, "ttyUSB0"), USB: true, VendorID: "0403", ModelID: "6001", Maker: "Nobody"},
	}
	d := cmp.Diff(want, got)
	must.Be(t, d == "", "%v", d)
	got, err := sysfsPorts(filepath.Join(root, "no sysfs"), dev, links)
	must.Be(t, err == nil && got == nil, "without sysfs: %v, %v", got, err)
}

// The real list has a name in each entry and is refused while a port is in use.
func TestPorts(t *testing.T) {
	list := must.Get(Ports())(t)
	for _, p := range list {
		must.Be(t, p.Name != "", "a port without a name: %+v", p)
		_, err := os.Stat(p.Name)
		must.Be(t, err == nil, "a port that is not there: %v", err)
	}
	d := plugIn(t)
	l := start(t, Config{Opener: NewSerial(d.link, 0)})
	wantKind(t, l, Up)
	_, err := Ports()
	must.Be(t, errors.Is(err, ErrRecording), "listed while recording: %v", err)
	must.Do(t, l.Close())
	_, err = Ports()
	must.Be(t, err == nil, "after the recording: %v", err)
}
