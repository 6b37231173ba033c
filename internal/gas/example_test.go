package gas_test

import (
	"fmt"

	"fillwright/internal/gas"
)

// A supply of 200 bar at 20 °C, throttled into a vessel at 40 bar (absolute).
func ExampleEOS_ThrottleK() {
	air := gas.Equation(gas.Air)
	tempK, err := air.ThrottleK(200e5, 293.15, 40e5)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.1f °C\n", tempK-273.15)
	// Output: -5.4 °C
}

// What a closed vessel of 41 bar and 60 °C settles to at 20 °C.
func ExampleEOS_SettlePressurePa() {
	air := gas.Equation(gas.Air)
	hot, err := air.At(333.15, 41e5)
	if err != nil {
		fmt.Println(err)
		return
	}
	settlePa, err := air.SettlePressurePa(hot.DensityKgM3, 293.15)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.2f bar\n", settlePa/1e5)
	// Output: 35.71 bar
}

// Values outside the range are refused, with the range.
func ExampleEOS_At() {
	_, err := gas.Equation(gas.Nitrogen).At(520, 1e5)
	fmt.Println(err)
	// Output: properties of nitrogen: temperature 520 K is outside 200 to 450 K
}
