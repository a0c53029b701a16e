// Kinds of limbs: what the server says of each.

import { state } from "/static/requests.js";

/** The quarters of a limb, in the order in which a kind has its sides: 90° apart from the front on. */
export const QUARTERS = ["front", "outside", "back", "inside"];

function kindNamed(wanted) {
  return state.kinds.find(({ name }) => name === wanted);
}

/** The kind of limb that the job names; where nobody named it, the one that was found, or the first before that. */
export function wantedKind() {
  return kindNamed(state.job.scan.limb) ?? kindNamed(state.limb?.kind) ?? state.kinds[0];
}

/** The kind of the limb on the bench; before it is found, the one that the job names. */
function presentKind() {
  return kindNamed(state.limb?.kind) ?? wantedKind();
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
