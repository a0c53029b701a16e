// Kinds of limbs: what the server says of each.

import { state } from "/static/requests.js";

/** The quarters of a limb, in the order in which a kind has its sides: 90° apart from the front on. */
export const QUARTERS = ["front", "outside", "back", "inside"];

/** The kind of limb that the job names. */
export function wantedKind() {
  return state.kinds.find(({ name }) => name === state.job.scan.limb);
}

/** The kind of the limb on the bench; before it is found, the one that the job names. */
function presentKind() {
  return state.kinds.find(({ name }) => name === state.limb?.kind) ?? wantedKind();
}

/** The limb's own word for a quarter: not every one has an outside. */
export function sideName(quarter) {
  return presentKind().sides[QUARTERS.indexOf(quarter)];
}

/** What heights on the limb count from. */
export function zeroName() {
  return presentKind().zero;
}

/** A place for the tape on any kind of limb, or nothing for a height. */
export function tapePlace(at) {
  return state.kinds.flatMap((kind) => kind.tape_places).find((place) => place.at === at);
}
