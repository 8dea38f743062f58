export function open(root, place) {}
