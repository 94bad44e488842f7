package sim

import "fmt"

// Names are put together from coined syllables: nobody bears them.
var (
	givenNames = []string{
		"Ilvo", "Tareme", "Osca", "Belduin", "Marvela", "Josk", "Renil", "Adola", "Quim", "Serafe",
		"Dovan", "Lisme", "Natuel", "Piera", "Gonvar", "Helita", "Umbrel", "Casmo", "Fialda", "Zuri", "Tolme", "Inesca", "Bravan", "Eldine",
	}
	familyNames = []string{
		"Tresmane", "Ovarra", "Lindoque", "Barvelo", "Cormelas", "Sandrava", "Peltrão", "Mouvela", "Ferraime",
		"Quintavo", "Arnolda", "Valsique", "Rombrel", "Tavorne", "Esmelga", "Dorvales", "Pinhaque", "Galmeiro", "Serrune", "Alcavo",
		"Novarte", "Brilhane", "Coutarra", "Falmedo", "Jordaque", "Lemvos", "Marquelo", "Nogaime", "Olivarro",
	}
	hullNames = []string{
		"Arvolina", "Mestrande", "Corsalva", "Bramaris", "Ondelva", "Pharelle", "Torvane", "Selquita", "Marhelo",
		"Vantorra", "Grisalme", "Nauvela", "Ostrama", "Caldimar",
	}
)

// personName is a different name for each of the first 696 people.
func personName(i int) string {
	g, f := i%len(givenNames), (i+i/len(givenNames))%len(familyNames)
	name := givenNames[g] + " " + familyNames[f]
	if round := i / (len(givenNames) * len(familyNames)); round > 0 {
		name += fmt.Sprintf(" %d", round+1)
	}
	return name
}

// hullName names the i-th hull.
func hullName(i int) string {
	name := hullNames[i%len(hullNames)]
	if round := i / len(hullNames); round > 0 {
		name += fmt.Sprintf(" %d", round+1)
	}
	return name
}
