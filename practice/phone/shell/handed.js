// What the first script hands over, by the same names.
const {
  $, act, addDays, ask, askFor, blockOf, changed, commit, cueOf, dayName, dayText, DO, doseName,
  draw, dropCopy, entryName, extra, flush, go, h, here, hold, hurts, idTime, list, logBlock, many, moveTo, newId,
  own, partAt, partRow, partsNow, planOf, read, recall, refresh, remember, renew, rootOf, rows, say, SCREENS, settle, show, shown,
  signedIn, soon, stamp, state, stepName, STOPPED, sum, TIMES, today, unread, weekScreen, write,
} = self.phone;
