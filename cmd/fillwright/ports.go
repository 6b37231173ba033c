package main

import (
	"io"

	"github.com/spf13/cobra"

	"fillwright/internal/columns"
	"fillwright/internal/logger"
)

func portsCommand(t *terminal) *cobra.Command {
	return &cobra.Command{
		Use: "ports", Short: "Lists the serial ports",
		Long: "Lists the serial ports of this computer. Listing may restart boards that are\n" +
			"plugged in: do not use it while another program records.",
		Args: wanted(0, 0, "no arguments", "fillwright ports"),
		RunE: func(*cobra.Command, []string) error {
			ports, err := logger.Ports()
			if err != nil {
				return err
			}
			if len(ports) == 0 {
				t.note("no serial port was found\n  plug the logger in, wait two seconds and type again: fillwright ports\n" +
					"  without a logger there is: fillwright watch --demo")
				return nil
			}
			_, err = io.WriteString(t.out, portTable(ports))
			return err
		},
	}
}

func portTable(ports []logger.Port) string {
	rows := [][]string{{"PORT", "USB", "DEVICE", "NUMBER", "STAYS WITH THE DEVICE"}}
	for _, p := range ports {
		usb := "-"
		if p.USB {
			usb = p.VendorID + ":" + p.ModelID
		}
		device := p.Product
		if p.Maker != "" {
			device = p.Maker + " " + p.Product
		}
		rows = append(rows, []string{p.Name, usb, dash(device), dash(p.Serial), dash(p.Stable)})
	}
	return columns.Table("", rows)
}

func dash(s string) string {
	if s == "" {
		return "-"
	}
	return s
}
