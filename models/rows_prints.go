package models

// HazardRow is a row of hazards.csv: the signal word and one hazard statement
// of an item's safety data sheet, as the yard entered them.
type HazardRow struct {
	Item      string `gorm:"primaryKey" csv:"item,key,ref=items"`
	Signal    string `csv:"signal,opt"`
	Statement string `gorm:"primaryKey" csv:"statement,key"`
}

// CautionRow is a row of cautions.csv: words that every job card of a stage
// bears, such as "mixed pots run hot".
type CautionRow struct {
	Stage   string `gorm:"primaryKey" csv:"stage,key,ref=stages"`
	Caution string `gorm:"primaryKey" csv:"caution,key"`
}
