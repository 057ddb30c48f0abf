package week

muscle := sum([v | some x in input.servings; v := x.mass * x.muscle])

heart := sum([v | some x in input.servings; v := x.mass * x.heart])

bone := sum([v | some x in input.servings; v := x.mass * x.bone])

liver := sum([v | some x in input.servings; v := x.mass * x.liver])

organ := sum([v | some x in input.servings; v := x.mass * x.organ])

slots := (((muscle + heart) + bone) + liver) + organ

ca := sum([v | some x in input.servings; v := x.mass * x.calcium])

p := sum([v | some x in input.servings; v := x.mass * x.phosphorus])

a := sum([v | some x in input.servings; v := x.mass * x.vitamin_a])

kcal := sum([v | some x in input.servings; v := x.mass * x.kcal])

oil := sum([x.mass | some x in input.servings; x.oil])

eggs := sum([x.eggs | some x in input.servings])

kinds := {x.species | some x in input.servings; x.meat}

red := {x.species | some x in input.servings; x.meat; x.red}

met contains "share-muscle" if {
	muscle * 100 >= slots * 65
	muscle * 100 <= slots * 75
}

met contains "share-heart" if {
	heart * 100 >= slots * 8
	heart * 100 <= slots * 12
}

met contains "share-bone" if {
	bone * 100 >= slots * 10
	bone * 100 <= slots * 15
}

met contains "share-liver" if {
	liver * 100 >= slots * 4
	liver * 100 <= slots * 6
}

met contains "share-organ" if {
	organ * 100 >= slots * 4
	organ * 100 <= slots * 6
}

met contains "proteins-distinct" if count(kinds) >= 3

met contains "red-meat" if count(red) >= 1

met contains "eggs-weekly" if {
	eggs >= 1
	eggs <= 2
}

met contains "oil-weekly" if {
	oil * 1000 >= input.gram * 3375
	oil * 1000 <= input.gram * 5625
}

met contains "ca-p-floor" if ca >= p

met contains "ca-p-practice" if {
	ca * 10 >= p * 12
	ca * 10 <= p * 17
}

met contains "calcium-least" if ca * 1000 >= kcal * 1500

met contains "calcium-most-dog" if ca * 1000 <= kcal * 4500

met contains "vitamin-a-least" if a * 1000 >= kcal * 833

met contains "vitamin-a-most" if a * 1000 <= kcal * 83325
