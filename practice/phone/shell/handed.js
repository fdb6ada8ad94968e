// What the first script hands over, by the same names.
const [@HANDED@] = self.phone;
