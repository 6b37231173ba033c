package main

import (
	"fmt"
	"io"
	"text/tabwriter"

	"github.com/spf13/cobra"

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
			return printPorts(t.out, ports)
		},
	}
}

func printPorts(w io.Writer, ports []logger.Port) error {
	tab := tabwriter.NewWriter(w, 0, 8, 2, ' ', 0)
	if _, err := fmt.Fprintln(tab, "PORT\tUSB\tDEVICE\tNUMBER\tSTAYS WITH THE DEVICE"); err != nil {
		return err
	}
	for _, p := range ports {
		usb := "-"
		if p.USB {
			usb = p.VendorID + ":" + p.ModelID
		}
		device := p.Product
		if p.Maker != "" {
			device = p.Maker + " " + p.Product
		}
		if _, err := fmt.Fprintf(tab, "%s\t%s\t%s\t%s\t%s\n", p.Name, usb, dash(device), dash(p.Serial), dash(p.Stable)); err != nil {
			return err
		}
	}
	return tab.Flush()
}

func dash(s string) string {
	if s == "" {
		return "-"
	}
	return s
}
