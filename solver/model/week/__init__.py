"""The integer model of a week: which job stands where and when, with which kit."""
