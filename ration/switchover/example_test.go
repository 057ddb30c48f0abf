package switchover_test

import (
	"fmt"

	"fitchet.example/ration"
	"fitchet.example/ration/log"
	"fitchet.example/ration/switchover"
	"fitchet.example/units"
)

func ExamplePlan_Next() {
	steps, err := switchover.Shipped()
	if err != nil {
		fmt.Println(err)
		return
	}
	moss := ration.Animal{ID: "moss", Sex: ration.Hob, Mass: 1400 * units.Gram, Stage: ration.Adult}
	diary := log.Log{AsOf: log.Moment{Date: 20000, Time: 20 * 60}}
	step, err := steps.Next(switchover.State{Animal: "moss", Stage: "soup", Since: 19990}, &moss, &diary, log.DefaultWeightLimits())
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%s: %s\n", step.Move, step.Reasons[0])
	// Output: cannot be said: nothing is written down for the last 12 hours: what did it eat?
}
