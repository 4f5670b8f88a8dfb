"""Does a part's mounting pattern meet a vehicle's: rigid fits within clearances, with the measuring doubt."""
