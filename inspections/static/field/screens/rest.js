// The screens that come after the first one, which a slow line need not carry before it.

export { elementScreen, placeScreen } from "./element.js";
export { reviewScreen } from "./review.js";
export { temperatureScreen } from "./temperatures.js";
export { waitingScreen } from "./waiting.js";
export { walkScreen } from "./walk.js";
